package earpiece

import (
	"math"
	"testing"
	"time"

	"drylane/playback"
	"drylane/playback/crew"
	"drylane/playback/output"
	"drylane/show"
	"drylane/show/crewclock"
)

const rate = 48000

var epoch = time.Date(2030, 1, 1, 0, 0, 0, 0, time.UTC)

// A stage is a lead and a joined machine in a time of its own.
type stage struct {
	*Earpiece
	t   *testing.T
	now time.Time
	dev *device
	lead
}

// lead is the run as it is told.
type lead struct {
	view  crew.View
	began time.Time            // the moment at which frame 0 sounded, or would have
	off   func() time.Duration // of the clock as it is known
	bound time.Duration        // ... and what is said of it
}

// newStage has a device whose crystal is fast by so many parts in a million.
func newStage(t *testing.T, ppm float64) *stage {
	s := &stage{t: t, now: epoch, dev: &device{fast: ppm}}
	s.dev.stage, s.off, s.bound = s, func() time.Duration { return 0 }, ms
	s.view = crew.View{Came: true, Clocked: true, State: crew.State{State: show.Armed.String(), Speed: 1}, Welcome: crew.Welcome{Rate: rate}}
	s.Earpiece = newEarpiece(Setup{Link: s, Name: "music", Stream: &ramp{}, Rate: rate, Output: s.dev,
		Open: func() (playback.Output, error) { return s.dev.again() }}, func() time.Time { return s.now })
	s.vary = &skimmer{read: s.read}
	return s
}

// A skimmer keeps the places of a resample.Varying and takes a frame here and
// there: to filter minutes of music takes more time than there is.
type skimmer struct {
	read  func(into [][2]float64, from int64)
	place float64
}

func (k *skimmer) MoveTo(at int64, part float64) { k.place = float64(at) + part }

func (k *skimmer) At() (int64, float64) {
	at := math.Floor(k.place)
	return int64(at), k.place - at
}

func (k *skimmer) Read(dst [][2]float64, pace float64) {
	at, _ := k.At()
	k.read(dst[:1], at)
	for i := range dst {
		dst[i] = dst[0]
	}
	k.place += float64(len(dst)) * pace
}

// View tells what is known of the lead now.
func (s *stage) View() crew.View {
	v := s.view
	v.Wall = s.now
	v.Clock = crewclock.Reading{At: s.now.Sub(epoch), Offset: s.off(), Bound: s.bound}
	if v.State.State == show.Running.String() {
		sounds := s.place(s.now)
		v.State.At, v.State.Sounds = s.now.Sub(epoch), &sounds
	}
	return v
}

// place is the frame that sounds at the lead's.
func (s *stage) place(at time.Time) int64 { return int64(at.Sub(s.began).Seconds() * rate) }

// runs begins at a frame, in a while.
func (s *stage) runs(from int64, in time.Duration) {
	s.began = s.now.Add(in - time.Duration(float64(from)/rate*1e9))
	s.view.State.State = show.Running.String()
}

// stands holds the run where it is.
func (s *stage) stands() {
	s.view.State.Heard = s.place(s.now)
	s.view.State.State = show.Held.String()
}

// pass lets time pass, in the loop's steps.
func (s *stage) pass(d time.Duration, each func()) {
	for until := s.now.Add(d); s.now.Before(until); {
		s.now = s.now.Add(step)
		s.tend()
		s.publish()
		if each != nil {
			each()
		}
	}
}

// apart is by how much the device is before the lead, by what it truly plays.
func (s *stage) apart() time.Duration {
	out := s.dev.truly(s.now)
	return time.Duration((s.marks.at(out) - s.now.Sub(s.began).Seconds()*rate) / rate * 1e9)
}

// A ramp is a stream without an end.
type ramp struct{ at int }

func (r *ramp) Stream(to [][2]float64) (int, bool) {
	for i := range to {
		to[i] = [2]float64{float64(r.at+i) / (1 << 40)}
	}
	r.at += len(to)
	return len(to), true
}
func (r *ramp) Err() error       { return nil }
func (r *ramp) Len() int         { return math.MaxInt }
func (r *ramp) Position() int    { return r.at }
func (r *ramp) Seek(p int) error { r.at = p; return nil }

// A device is an output with a crystal of its own. It needs 30 ms to begin.
type device struct {
	*stage
	fast          float64
	playing       bool
	at            time.Time // frame from sounds then
	from, written int64
	last          [2]float64 // the last frame written
	dry           int
	gone          error
}

var _ output.Timed = (*device)(nil)

// truly is the frame that sounds.
func (d *device) truly(at time.Time) int64 {
	return d.from + int64(at.Sub(d.at).Seconds()*rate*(1+d.fast/1e6))
}

func (d *device) again() (playback.Output, error) {
	if d.gone != nil {
		return nil, d.gone
	}
	d.playing, d.written, d.from = false, 0, 0
	return d, nil
}

func (d *device) Name() string           { return "a device" }
func (d *device) Latency() time.Duration { return 40 * time.Millisecond }
func (d *device) Underruns() int         { return d.dry }
func (d *device) Close() error           { d.playing = false; return nil }
func (d *device) Start() error           { return d.StartAt(d.now.Add(30 * time.Millisecond)) }
func (d *device) Space() int             { return max(0, int(d.heard()+rate/10-d.written)) }
func (d *device) Write(f [][2]float64) error {
	d.written += int64(len(f))
	if len(f) > 0 {
		d.last = f[len(f)-1]
	}
	return d.gone
}

func (d *device) heard() int64 {
	if !d.playing {
		return d.from
	}
	return min(max(d.from, d.truly(d.now)), d.written)
}

func (d *device) Heard() (int64, error) {
	if d.playing && d.truly(d.now) > d.written {
		d.dry++
	}
	return d.heard(), d.gone
}

func (d *device) Hold() (int64, error) {
	d.from = d.heard()
	d.playing, d.written = false, d.from
	return d.from, d.gone
}

func (d *device) Sounding(at time.Time) (int64, bool) { return d.truly(at), d.playing }
func (d *device) Soonest() (time.Time, error)         { return d.now.Add(30 * time.Millisecond), d.gone }
func (d *device) StartAt(at time.Time) error {
	d.playing, d.at = true, at
	return d.gone
}
func (d *device) CanHold(frame int64) (int64, error) { return max(frame, d.heard()), d.gone }
func (d *device) HoldAt(int64) (int64, error)        { return d.Hold() }
