package output

import (
	"testing"
	"time"

	"drylane/playback"
)

// TestSilentPace: hand-worked positions at three speeds, and a day without drift.
func TestSilentPace(t *testing.T) {
	for _, c := range []struct {
		speed float64
		pass  time.Duration
		want  int64
	}{
		{1, 10 * time.Millisecond, 441},
		{0.5, 10 * time.Millisecond, 220}, // 220.5
		{2, 20 * time.Millisecond, 1764},
		{1, 0, 0},
		{1, -time.Hour, 0}, // a clock that was set back
		{1, time.Hour, 3000},
		{0, 0, 3000},
	} {
		now := time.Unix(0, 0)
		out := Silent(Options{Rate: 44100, Speed: c.speed}, func() time.Time { return now })
		if err := out.Write(make([][2]float64, 3000)); err != nil {
			t.Fatal(err)
		}
		now = now.Add(time.Hour) // nothing moves before the start
		if err := out.Start(); err != nil {
			t.Fatal(err)
		}
		now = now.Add(c.pass)
		if h, err := out.Heard(); h != c.want || err != nil {
			t.Errorf("speed %v: %d frames after %v (%v), want %d", c.speed, h, c.pass, err, c.want)
		}
	}
	s := Silent(Options{Rate: 44100, Speed: 1}, time.Now).(*silent)
	if got, want := s.passed(24*time.Hour), int64(24*3600*44100); got != want {
		t.Errorf("a day is %d frames, want %d", got, want)
	}
}

// TestSilentUnderrun: it stands still where the queue ends, goes on from there
// when more comes, and counts that once.
func TestSilentUnderrun(t *testing.T) {
	now := time.Unix(0, 0)
	out := Silent(Options{Rate: 48000, Speed: 1}, func() time.Time { return now })
	write := func(n int) {
		t.Helper()
		if err := out.Write(make([][2]float64, n)); err != nil {
			t.Fatal(err)
		}
	}
	write(480)
	out.Start()
	now = now.Add(time.Second)
	if h, _ := out.Heard(); h != 480 || out.Underruns() != 0 {
		t.Fatalf("heard %d, %d underruns; want 480, none yet", h, out.Underruns())
	}
	now = now.Add(time.Second)
	write(960)
	now = now.Add(10 * time.Millisecond)
	if h, _ := out.Heard(); h != 960 || out.Underruns() != 1 {
		t.Fatalf("heard %d, %d underruns; want 960, 1", h, out.Underruns())
	}
}

func TestOptionsAreChecked(t *testing.T) {
	for _, o := range []Options{
		{}, {Rate: -1}, {Rate: 1 << 30}, {Rate: 48000, Buffer: time.Millisecond}, {Rate: 48000, Buffer: time.Hour},
		{Rate: 48000, Latency: time.Minute}, {Rate: 48000, Latency: -time.Minute}, {Rate: 48000, Speed: -1},
	} {
		if _, err := Device(o); err == nil {
			t.Errorf("Device(%+v): no error", o)
		}
		if _, err := WAV(o, nil, playback.WAVInt16); err == nil {
			t.Errorf("WAV(%+v): no error", o)
		}
		s := Silent(o, time.Now)
		if err := s.Start(); err == nil || s.Space() != 0 {
			t.Errorf("Silent(%+v): no error", o)
		}
	}
}
