package deck

import (
	"testing"
	"time"

	"drylane/show"
	"drylane/show/timebase"
)

// Between two looks the frame heard goes on by the clock, but not past what was
// rendered: at 48 kHz 50 ms are 2,400 frames. A moment before the look is at most two
// steps, 10 ms or 480 frames, back: what was heard then nobody knows better. At half
// speed half as much passes.
func TestHeardAtGoesOnByTheClock(t *testing.T) {
	r := newRig(t, &ramp{length: 10 * rate, breaksAt: 1 << 40}, nil, "", true)
	r.give(show.Command{Action: show.Arm})
	r.give(show.Command{Action: show.Start})
	r.hearUpTo(2 * rate)
	r.show()
	s := *r.Snapshot()
	s.Rendered = s.Transport.Heard() + 4800
	for _, tt := range []struct {
		after time.Duration
		speed float64
		want  timebase.Frame
	}{
		{0, 1, 0}, {50 * time.Millisecond, 1, 2400}, {50 * time.Millisecond, 0.5, 1200}, {200 * time.Millisecond, 1, 4800},
		{-5 * time.Millisecond, 1, -240}, {-time.Second, 1, -480},
	} {
		s.Speed = tt.speed
		if got := s.HeardAt(s.Wall.Add(tt.after)) - s.Transport.Heard(); got != tt.want {
			t.Errorf("%v later at speed %v: %d frames on, want %d", tt.after, tt.speed, got, tt.want)
		}
	}
}
