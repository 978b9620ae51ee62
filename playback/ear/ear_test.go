package ear

import (
	"math"
	"math/rand/v2"
	"slices"
	"sync"
	"testing"
	"time"

	"drylane/playback/follow"
	"drylane/playback/internal/outdoors"
	"drylane/testdata"
)

var demo struct {
	sync.Once
	x []float64
}

// demoMusic is the demo's soundtrack from one second to another. Nobody writes to it.
func demoMusic(t *testing.T, from, to int) []float64 {
	t.Helper()
	demo.Do(func() { demo.x, _ = outdoors.ReadIn(t, testdata.Demo(), "soundtrack.mp3") })
	return demo.x[from*rate : to*rate]
}

// TestFindsAndFollows: music that is taken up in its middle, in noise, with bangs, on a
// clock of its own, is found within 10 s and followed to 5 ms, without a loss.
func TestFindsAndFollows(t *testing.T) {
	t.Parallel()
	x := demoMusic(t, 10, 60)
	s := outdoors.Scene{Seed: 4, Room: true, Phone: true, Noise: true, SNR: 6, Bangs: 0.3, PPM: 60}
	m := musicOf(t, x)
	all := hear(t, newFollower(t, m), NewSearcher(m), s.Take(x[15*rate:40*rate], rate))
	at, _ := firstLock(all)
	if at < 0 || at > 10 {
		t.Errorf("found after %.1f s", at)
	}
	worst := 0.0
	for _, mo := range all {
		if mo.now.Following() {
			worst = max(worst, math.Abs(mo.now.Place.Seconds()-15-mo.at/(1+60e-6)))
		}
	}
	if last := all[len(all)-1].now; worst > 0.005 || last.Locks != 1 || last.Loss.N != 0 {
		t.Errorf("off by %.4f s, %+v", worst, last)
	}
}

// TestStartsAndStops: music is found at its beginning before it has played for 4 s; its
// stop is noticed within the time that is promised, and when it goes on it is again the
// music that was lost.
func TestStartsAndStops(t *testing.T) {
	if testing.Short() {
		t.Skip("much arithmetic, in one goroutine")
	}
	t.Parallel()
	x := demoMusic(t, 10, 60)
	played := join(silence(2), x[:12*rate], silence(3), x[12*rate:18*rate])
	s := outdoors.Scene{Seed: 5, Room: true, Noise: true, SNR: 12}
	m := musicOf(t, x)
	all := hear(t, newFollower(t, m), NewSearcher(m), s.Take(played, rate))
	started, w := firstLock(all)
	if started < 2 || started > 6 || math.Abs(w.now.Place.Seconds()-started+2) > 0.005 {
		t.Fatalf("found after %.1f s at %v", started-2, w.now.Place)
	}
	lost := slices.IndexFunc(all, func(m moment) bool { return m.now.Loss.N == 1 })
	if lost < 0 {
		t.Fatal("the stop was not noticed")
	}
	if mo := all[lost]; mo.at < 14 || mo.at > 14+Noticed.Seconds() || math.Abs(mo.now.Loss.Place.Seconds()-(mo.at-2)) > 0.02 || mo.now.Loss.Why != follow.Stopped {
		t.Errorf("lost at %.2f s: %+v", mo.at, mo.now.Loss)
	}
	resumed := slices.IndexFunc(all, func(m moment) bool { return m.now.Locks == 2 })
	if resumed < 0 {
		t.Fatal("the music that went on was not found")
	}
	if mo := all[resumed]; mo.at > 20 || !mo.now.Again || math.Abs(mo.now.Place.Seconds()-(mo.at-5)) > 0.005 {
		t.Errorf("found again at %.2f s: %+v", mo.at, mo.now)
	}
}

// TestUnsure: a stretch that comes twice is said to, until what follows tells which it was.
func TestUnsure(t *testing.T) {
	if testing.Short() {
		t.Skip("much arithmetic, in one goroutine")
	}
	t.Parallel()
	part := demoMusic(t, 24, 38)
	x := join(demoMusic(t, 10, 16), part, demoMusic(t, 62, 72), part, demoMusic(t, 90, 104))
	m := musicOf(t, x)
	s := outdoors.Scene{Seed: 6, Room: true, Noise: true, SNR: 6}
	all := hear(t, newFollower(t, m), NewSearcher(m), s.Take(x[31*rate:], rate))
	unsure := slices.IndexFunc(all, func(m moment) bool { return m.now.Why == follow.Unsure })
	if unsure < 0 || all[unsure].now.Times != 2 || all[unsure].at > 12 {
		t.Errorf("unsure at %d", unsure)
	}
	at, w := firstLock(all)
	if at < 13 || math.Abs(w.now.Place.Seconds()-31-at) > 0.005 || w.now.Why != follow.NoReason {
		t.Errorf("locked after %.1f s: %+v", at, w.now)
	}
}

// TestNothingIsFound: the music backwards, noise and silence.
func TestNothingIsFound(t *testing.T) {
	if testing.Short() {
		t.Skip("much arithmetic, in one goroutine")
	}
	t.Parallel()
	rnd := rand.New(rand.NewPCG(1, 1))
	noise := make([]float64, 12*rate)
	for i := range noise {
		noise[i] = 0.1 * rnd.NormFloat64()
	}
	x := demoMusic(t, 10, 50)
	m := musicOf(t, x)
	backwards := slices.Clone(x[20*rate:])
	slices.Reverse(backwards)
	for name, heard := range map[string][]float64{"backwards": backwards, "noise": noise, "silence": silence(12)} {
		all := hear(t, newFollower(t, m), NewSearcher(m), heard)
		if at, w := firstLock(all); at >= 0 {
			t.Errorf("%s: found after %.1f s at %v", name, at, w.now.Place)
		}
	}
}

// locked is a follower that has found the demo's music from 20 s on, after what it took.
func locked(t *testing.T) (f *Follower, heard []float64) {
	t.Helper()
	x := demoMusic(t, 10, 40)
	m := musicOf(t, x)
	f = newFollower(t, m)
	all := hear(t, f, NewSearcher(m), x[10*rate:20*rate])
	if last := all[len(all)-1].now; last.State != follow.Locked {
		t.Fatalf("not locked: %+v", last)
	}
	return f, x[20*rate:]
}

// TestSlips: music that leaves out or repeats a little is followed on from there.
func TestSlips(t *testing.T) {
	if testing.Short() {
		t.Skip("much arithmetic, in one goroutine")
	}
	t.Parallel()
	for _, skip := range []float64{-0.2, -0.09, 0.06, 0.2} { // seconds of music left out
		f, rest := locked(t)
		at := rate + int(skip*rate)
		f.Write(outdoors.Stereo(join(rest[:rate], rest[at:at+2*rate])))
		if n := f.At(f.Sample()); n.State != follow.Locked || n.Slips != 1 || n.Loss.N != 0 || math.Abs(n.Place.Seconds()-23-skip) > 0.005 {
			t.Errorf("%+.2f s: %+v", skip, n)
		}
	}
}

// TestEnds: the end of the music is a stop at its very end.
func TestEnds(t *testing.T) {
	if testing.Short() {
		t.Skip("much arithmetic, in one goroutine")
	}
	t.Parallel()
	f, rest := locked(t)
	f.Write(outdoors.Stereo(join(rest, silence(0.3))))
	if n := f.At(f.Sample()); n.State != follow.Lost || n.Place != 30*time.Second {
		t.Errorf("%s at %v", n.State, n.Place)
	}
}

// TestStalls: input that gives nothing more is a stop after a second.
func TestStalls(t *testing.T) {
	if testing.Short() {
		t.Skip("much arithmetic, in one goroutine")
	}
	t.Parallel()
	f, _ := locked(t)
	f.Pass(10.9 * rate)
	if n := f.At(10.9 * rate); n.State == follow.Lost {
		t.Error("lost too soon")
	}
	f.Pass(11.2 * rate)
	if n := f.At(11.2 * rate); n.State != follow.Lost || math.Abs(n.Place.Seconds()-21.2) > 0.05 {
		t.Errorf("%s at %v", n.State, n.Place)
	}
}

// TestNeverGoesBack: the place of a moment that is yet to come is told ahead, and taken
// back by nothing.
func TestNeverGoesBack(t *testing.T) {
	if testing.Short() {
		t.Skip("much arithmetic, in one goroutine")
	}
	t.Parallel()
	f, rest := locked(t)
	ahead := f.At(f.Sample() + rate/10).Place
	if now := f.At(f.Sample()); now.Place != ahead || math.Abs(ahead.Seconds()-20.1) > 0.005 {
		t.Errorf("%v, then %v", ahead, now.Place)
	}
	f.Write(outdoors.Stereo(rest[:rate]))
	if now := f.At(f.Sample()); math.Abs(now.Place.Seconds()-21) > 0.005 {
		t.Error(now.Place)
	}
}

// TestFollowingAllocatesNothing: neither while it is locked nor while it searches.
func TestFollowingAllocatesNothing(t *testing.T) {
	if testing.Short() {
		t.Skip("much arithmetic, in one goroutine")
	}
	f, rest := locked(t)
	g := newFollower(t, f.cfg.Music)
	frames := outdoors.Stereo(rest[:rate/100])
	for range 1500 {
		g.Write(frames)
		if s := g.Job(); s != nil {
			g.Found(s)
		}
	}
	at := 0
	if n := testing.AllocsPerRun(300, func() {
		f.Write(nextOf(rest, &at))
		f.At(f.Sample())
	}); n != 0 {
		t.Errorf("locked: %g allocations", n)
	}
	if n := testing.AllocsPerRun(300, func() {
		g.Write(frames)
		if s := g.Job(); s != nil {
			g.Found(s)
		}
	}); n != 0 {
		t.Errorf("searching: %g allocations", n)
	}
}

var hundredth [rate / 100][2]float64

// nextOf is the next hundredth of a second of x, in room that is used again.
func nextOf(x []float64, at *int) [][2]float64 {
	for i := range hundredth {
		hundredth[i] = [2]float64{x[*at+i], x[*at+i]}
	}
	*at += len(hundredth)
	return hundredth[:]
}
