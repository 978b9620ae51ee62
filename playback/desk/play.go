package desk

import (
	"time"

	"drylane/playback/loudness"
	"drylane/show/timebase"
)

// play plays source i: from its beginning, or from where it was stopped.
func (d *Desk) play(i int, top bool) {
	if i < 0 || i >= len(d.cfg.Sources) {
		return
	}
	d.stop("")
	if i != d.source || d.feed == nil {
		if !d.change(i) {
			return
		}
		top = true
	}
	if top || d.end < 0 || d.pos >= d.end {
		d.pos = 0
	}
	d.begin()
}

// change makes source i the one to play, at its rate.
func (d *Desk) change(i int) bool {
	if d.feed != nil {
		d.feed.close()
		d.feed = nil
	}
	d.source, d.pos, d.end = i, 0, -1
	f, err := openSource(d.cfg.Sources[i], d.cfg.Rate, d.cfg.Open)
	if err != nil {
		d.say(true, "%s", err)
		return false
	}
	d.feed = f
	if !d.cfg.Sources[i].Endless() {
		d.end = frames(f.music.Len())
	}
	return true
}

// begin starts the sound at frame pos of the source.
func (d *Desk) begin() {
	if !d.ready(d.feed.rate) {
		return
	}
	if err := d.feed.music.Seek(int(d.pos)); err != nil {
		d.say(true, "%s cannot be wound: %s", d.cfg.Sources[d.source].Title(), err)
		return
	}
	d.base, d.start = d.next, d.pos
	d.playing, d.started, d.message, d.failure = true, false, "", false
	d.meter.restart(d.rate, d.next)
	d.ramps = [2]ramp{}
	d.retune(startRamp)
	d.fill()
}

// ready sees to it that there is an output for rate.
func (d *Desk) ready(rate int) bool {
	if d.out != nil && d.rate == rate {
		return true
	}
	out, err := d.cfg.Output(rate)
	if err != nil {
		d.say(true, "no sound: %s", err)
		return false
	}
	// Only now: a sound server that is left alone may fill seconds of its
	// device with silence, and the next stream waits for their end.
	if d.out != nil {
		d.out.Close()
	}
	d.out, d.rate, d.next, d.under = out, rate, 0, 0
	return true
}

// stop silences the output at once and keeps the place.
func (d *Desk) stop(why string) {
	if !d.playing {
		return
	}
	heard, err := d.out.Hold()
	if err != nil {
		d.lost(err)
		return
	}
	d.next = heard
	d.halt(heard)
	if why != "" {
		d.say(false, "%s", why)
	}
}

// halt notes that the sound ended with output frame heard.
func (d *Desk) halt(heard int64) {
	d.heardTo(heard)
	d.playing = false
	d.quiet()
}

// quiet sets the meters to silence; peaks held fall by themselves.
func (d *Desk) quiet() {
	d.peak = [2]float64{}
	d.loud = [2]loudness.Level{loudness.Silence, loudness.Silence}
}

// lost is the loss of the device: the sound is off and stays off.
func (d *Desk) lost(err error) {
	d.out.Close()
	d.out, d.playing = nil, false
	d.quiet()
	d.say(true, "STOPPED: %s; playing tries again", err)
}

// listen asks the output what was heard.
func (d *Desk) listen() {
	heard, err := d.out.Heard()
	if err != nil {
		d.lost(err)
		return
	}
	d.under = d.out.Underruns()
	d.heardTo(heard)
	switch {
	case d.limit > 0 && d.pos >= d.limit:
		d.stop("played")
	case d.end >= 0 && d.pos >= d.end:
		d.stop("played to its end")
	}
}

// heardTo takes in that the output has played up to frame heard.
func (d *Desk) heardTo(heard int64) {
	d.pos = d.start + frames(heard-d.base)
	b, ok := d.meter.hear(heard)
	if !ok {
		return
	}
	now := d.now()
	d.peak, d.loud = b.peak, [2]loudness.Level{b.momentary, b.s3s}
	for ch := range d.peaks {
		d.peaks[ch].see(b.peak[ch], now)
	}
	d.overs += b.over
}

// last is the source frame at which rendering stops, or none.
func (d *Desk) last() (frames, bool) {
	switch {
	case d.limit > 0 && (d.end < 0 || d.limit < d.end):
		return d.limit, true
	case d.end >= 0:
		return d.end, true
	}
	return 0, false
}

// fill renders as much as the output takes and lets it sound.
func (d *Desk) fill() {
	for d.playing {
		n := min(d.out.Space(), chunk)
		if end, ok := d.last(); ok {
			n = min(n, int(end-d.rendered()))
		}
		if n <= 0 {
			break
		}
		got, ok := d.feed.music.Stream(d.buf[:n])
		if !ok || got == 0 {
			d.broke()
			break
		}
		part := d.buf[:got]
		over := apply(&d.ramps, part)
		d.meter.add(d.next, part, over)
		if err := d.out.Write(part); err != nil {
			d.lost(err)
			return
		}
		d.next += int64(got)
		if d.cfg.Now == nil && d.started {
			break // heard at once: see what comes of it first
		}
	}
	if d.playing && !d.started {
		d.started = true
		if err := d.out.Start(); err != nil {
			d.lost(err)
		}
	}
}

// rendered is the next frame of the source to render.
func (d *Desk) rendered() frames { return d.start + frames(d.next-d.base) }

// broke takes it that the source gives no more before its end.
func (d *Desk) broke() {
	at := d.rendered()
	if err := d.feed.music.Err(); err != nil {
		d.say(true, "%s breaks off: %s", d.cfg.Sources[d.source].Title(), err)
	}
	d.end = at // what was rendered before it is still heard
}

// retune sends the gains to where they are set, within a time.
func (d *Desk) retune(over time.Duration) {
	if d.feed == nil {
		return
	}
	for ch := range d.ramps {
		d.ramps[ch].set(d.factor(ch), count(over, d.feed.rate))
	}
}

// factor is what the samples of a channel are multiplied with.
func (d *Desk) factor(ch int) float64 {
	if d.mute[ch] {
		return 0
	}
	g := d.gain[ch]
	if d.feed.signal {
		g += d.cfg.Sources[d.source].Signal.Level(d.level)
	}
	return g.Factor()
}

// wind moves in a file that plays or was stopped.
func (d *Desk) wind(by time.Duration) {
	if d.feed == nil || d.end < 0 {
		return
	}
	going := d.playing
	d.stop("")
	at := d.pos + timebase.FrameAt(by, d.feed.rate)
	d.pos = max(0, min(at, d.end))
	if going && d.out != nil {
		d.begin()
	}
}
