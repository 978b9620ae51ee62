package output

import "time"

func (f *feed) Name() string           { return "system sound" }
func (f *feed) Latency() time.Duration { return time.Duration(f.latency.Load()) }
func (f *feed) Underruns() int         { return int(f.underruns.Load()) }

func (f *feed) Space() int {
	f.mu.Lock()
	defer f.mu.Unlock()
	if f.failed() != nil {
		return 0
	}
	f.follow()
	return f.space()
}

func (f *feed) space() int { return int(max(0, f.opts.space()-f.queued())) }

func (f *feed) Write(frames [][2]float64) error {
	f.mu.Lock()
	defer f.mu.Unlock()
	if err := f.failed(); err != nil {
		return err
	}
	f.follow()
	if space := f.space(); len(frames) > space {
		return tooMany(len(frames), space)
	}
	if f.playing && f.dry && len(frames) > 0 {
		if f.render.written > f.render.base {
			f.underruns.Add(1)
		}
		f.dry = false
	}
	f.render.write(frames)
	f.setLatency()
	return nil
}

func (f *feed) Start() error {
	f.mu.Lock()
	defer f.mu.Unlock()
	if err := f.failed(); err != nil || f.playing {
		return err
	}
	f.playing, f.dry, f.lastRead = true, false, f.now()
	return nil
}

func (f *feed) Heard() (int64, error) {
	f.mu.Lock()
	defer f.mu.Unlock()
	if err := f.failed(); err != nil {
		return f.heard, err
	}
	f.follow()
	return f.heard, nil
}

// Hold lets Read give a fade-out of what would come next, then silence.
func (f *feed) Hold() (int64, error) {
	f.mu.Lock()
	defer f.mu.Unlock()
	if err := f.failed(); err != nil {
		return f.heard, err
	}
	f.follow()
	f.render.drain()
	stop := f.render.start
	if f.taken > f.render.start {
		stop = f.render.stop(f.taken, 0)
		f.tail = f.render.ending(f.taken, stop, stop)
	}
	f.playing, f.taken = false, stop
	f.heard = f.render.hold(stop)
	f.setLatency()
	return f.heard, nil
}

func (f *feed) Close() error {
	f.mu.Lock()
	defer f.mu.Unlock()
	f.playing, f.closed = false, true
	return nil
}
