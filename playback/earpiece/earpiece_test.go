package earpiece

import (
	"errors"
	"math/rand/v2"
	"slices"
	"testing"
	"time"

	"drylane/playback"
	"drylane/playback/crew"
	"drylane/playback/output"
	"drylane/show"
	"drylane/show/crewclock"
	"drylane/testdata/reftest"

	"pgregory.net/rapid"
)

const ms = time.Millisecond

// TestFastClocks: over two minutes a device that runs 80 or 200 ppm fast or slow is
// never further from the lead than 2 ms, and from half a minute on not further than
// 0.1 ms; there is one start, and no pace that anybody hears.
func TestFastClocks(t *testing.T) {
	for _, ppm := range []float64{-80, 0, 200} {
		s := newStage(t, ppm)
		s.runs(0, 100*ms)
		var worst, later time.Duration
		began := s.now
		s.pass(2*time.Minute, func() {
			if !s.dev.playing || s.now.Before(s.dev.at) {
				return
			}
			if worst = max(worst, s.apart().Abs()); s.now.Sub(began) > 30*time.Second {
				later = max(later, s.apart().Abs())
			}
			if off := s.pace - 1; off > mostOff+1e-9 || off < -mostOff-1e-9 {
				t.Fatalf("%v ppm: a pace of %v", ppm, s.pace)
			}
		})
		if worst > 2*ms || later > 100*time.Microsecond {
			t.Errorf("%v ppm: %v apart, later %v; wanted 2ms and 100µs at most", ppm, worst, later)
		}
		if st := s.Earpiece.now; st.Starts != 1 || st.Again != 0 || st.Underruns > 0 {
			t.Errorf("%v ppm: %+v", ppm, st)
		}
		if ppm == 0 && s.pace != 1 {
			t.Errorf("nothing was off, and the pace is %v", s.pace)
		}
	}
}

// TestAllOfIt: the same with all that belongs to it: the filter, and a link and a device
// that are there.
func TestAllOfIt(t *testing.T) {
	out := output.Silent(output.Options{Rate: rate, Speed: 1}, time.Now)
	live := &liveLink{began: time.Now()}
	e := Start(Setup{Link: live, Name: "music", Stream: &ramp{}, Rate: rate, Output: out, Open: func() (playback.Output, error) { return nil, errors.New("gone") }})
	defer e.Close()
	for until := time.Now().Add(reftest.Patience); !e.Status().Measured; time.Sleep(step) {
		if time.Now().After(until) {
			t.Fatalf("it never joined: %+v", e.Status())
		}
	}
	if st := e.Status(); st.Name != "music" || !st.Plays || st.Output != "silence" {
		t.Errorf("%+v", st)
	}
	e.Close()
	if _, err := out.Heard(); err == nil {
		t.Error("the device is not given back")
	}
}

// A liveLink is a run that goes on.
type liveLink struct{ began time.Time }

func (l *liveLink) View() crew.View {
	now := time.Now()
	sounds := int64(now.Sub(l.began).Seconds() * rate)
	return crew.View{Came: true, Clocked: true, Wall: now, Welcome: crew.Welcome{Rate: rate},
		State: crew.State{State: show.Running.String(), Speed: 1, At: now.Sub(l.began), Sounds: &sounds},
		Clock: crewclock.Reading{At: now.Sub(l.began)}}
}

// TestJittersOfTheClock: where the lead's clock is known to 5 ms and the estimate jumps
// within that, the sound wanders within it too, without a new start.
func TestJittersOfTheClock(t *testing.T) {
	s := newStage(t, 80)
	rng := rand.New(rand.NewPCG(5, 5))
	s.bound = 5 * ms
	off, until := time.Duration(0), s.now
	s.off = func() time.Duration {
		if s.now.After(until) {
			off, until = time.Duration(rng.Int64N(int64(10*ms)))-5*ms, s.now.Add(2*time.Second)
		}
		return off
	}
	s.runs(0, 100*ms)
	var worst time.Duration
	s.pass(time.Minute, func() {
		if s.dev.playing && s.now.After(s.dev.at) {
			worst = max(worst, s.apart().Abs())
		}
	})
	if worst > 5*ms || s.Earpiece.now.Starts != 1 {
		t.Errorf("%v apart, %d starts; wanted 5ms and one", worst, s.Earpiece.now.Starts)
	}
}

// TestHoldsAndResumes: whatever holds and resumes there are, the device sounds only while
// the lead does, from a frame that was not heard before, and is in step from its first
// frame on.
func TestHoldsAndResumes(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		s := newStage(t, rapid.Float64Range(-100, 100).Draw(rt, "ppm"))
		var from int64
		for range rapid.IntRange(1, 4).Draw(rt, "holds") {
			in := time.Duration(rapid.Int64Range(0, int64(150*ms)).Draw(rt, "in"))
			s.runs(from, in)
			s.pass(time.Duration(rapid.Int64Range(int64(10*ms), int64(400*ms)).Draw(rt, "plays")), func() {
				if !s.dev.playing || s.now.Before(s.dev.at) {
					return
				}
				if off := s.apart(); off.Abs() > ms {
					rt.Fatalf("%v apart", off)
				}
				if s.marks[0].place < float64(from) {
					rt.Fatalf("it began with frame %v, and the lead with %d", s.marks[0].place, from)
				}
			})
			s.stands()
			from = max(from, s.view.State.Heard)
			s.view.State.Heard = from
			s.pass(time.Duration(rapid.Int64Range(int64(step), int64(200*ms)).Draw(rt, "held")), func() {
				if s.dev.playing {
					rt.Fatal("it sounds in a hold")
				}
			})
		}
	})
}

// TestSilentAtOnce: a HOLD of somebody, here or elsewhere, silences the device before
// the run tells of it; the run's own word decides what comes then.
func TestSilentAtOnce(t *testing.T) {
	for name, call := range map[string]func(*stage){
		"here":      func(s *stage) { s.view.Called++ },
		"elsewhere": func(s *stage) { s.view.State.Calls++ },
	} {
		s := newStage(t, 0)
		s.view.Called, s.view.State.Calls = 3, 7 // of before it came
		s.runs(0, 0)
		s.pass(time.Second, nil)
		if !s.dev.playing {
			t.Fatalf("%s: it does not play", name)
		}
		call(s)
		s.pass(step, nil)
		if s.dev.playing {
			t.Errorf("%s: it plays on", name)
		}
		s.pass(100*ms, nil) // old news of a run that goes on
		if s.dev.playing {
			t.Errorf("%s: it began again before the run told of the hold", name)
		}
		s.stands()
		s.pass(step, nil)
		s.runs(s.view.State.Heard, 0)
		s.pass(50*ms, nil)
		if !s.dev.playing {
			t.Errorf("%s: it does not play after the resume", name)
		}
	}
}

// TestNotTaken: a HOLD that the run did not take, as one that crossed a resume, does
// not leave the device silent.
func TestNotTaken(t *testing.T) {
	s := newStage(t, 0)
	s.runs(0, 0)
	s.pass(time.Second, nil)
	s.view.Called++
	s.pass(heldWithin+100*ms, nil)
	if !s.dev.playing {
		t.Error("it stays silent")
	}
}

// TestLinkLost: with the link the sound goes, and with it comes back, in step.
func TestLinkLost(t *testing.T) {
	s := newStage(t, 0)
	s.runs(0, 0)
	s.pass(time.Second, nil)
	s.view.Lost = true
	s.pass(step, nil)
	if s.dev.playing {
		t.Error("it plays while nothing is heard of the lead")
	}
	s.pass(3*time.Second, nil)
	s.view.Lost = false
	s.pass(time.Second, nil)
	if !s.dev.playing || s.apart().Abs() > ms {
		t.Errorf("back: plays %v, %v apart", s.dev.playing, s.apart())
	}
}

// TestFarOff: where the device has lost its place, it starts anew.
func TestFarOff(t *testing.T) {
	s := newStage(t, 0)
	s.runs(0, 0)
	s.pass(time.Second, nil)
	s.dev.at = s.dev.at.Add(50 * ms)
	s.pass(time.Second, nil)
	if st := s.Earpiece.now; st.Again != 1 || s.apart().Abs() > ms {
		t.Errorf("%v apart, %+v", s.apart(), st)
	}
}

// TestUntimed: a device that does not tell when its frames sound, and begins 10 ms sooner
// than it says, is put right once, and begins in step from then on.
func TestUntimed(t *testing.T) {
	s := newStage(t, 0)
	s.out = struct{ playback.Output }{s.dev}
	s.runs(0, 0)
	s.pass(5*time.Second, nil)
	if st := s.Earpiece.now; st.Again != 1 || s.apart().Abs() > ms {
		t.Errorf("%v apart, %+v", s.apart(), st)
	}
	s.stands()
	s.pass(time.Second, nil)
	s.runs(s.view.State.Heard, 0)
	s.pass(300*ms, nil)
	if st := s.Earpiece.now; st.Again != 1 || !st.Plays || s.apart().Abs() > ms {
		t.Errorf("after a hold: %v apart, %+v", s.apart(), st)
	}
}

// TestDeviceLost: a device that goes away is tried again and again, told meanwhile, and
// joins where the lead is.
func TestDeviceLost(t *testing.T) {
	s := newStage(t, 0)
	var said []string
	s.Report = func(words string) { said = append(said, words) }
	s.runs(0, 0)
	s.pass(time.Second, nil)
	s.dev.gone = errors.New("unplugged")
	s.pass(5*time.Second, nil)
	if st := s.Earpiece.now; st.Lost != "unplugged" || st.Plays {
		t.Errorf("%+v", st)
	}
	s.dev.gone = nil
	s.pass(2*time.Second, nil)
	if st := s.Earpiece.now; st.Lost != "" || !st.Plays || s.apart().Abs() > ms {
		t.Errorf("%v apart, %+v", s.apart(), st)
	}
	want := []string{"within 1.0 ms of the lead: music on a device", "music: LOST, no sound device; it comes back by itself",
		"joins the lead: music on a device", "within 1.0 ms of the lead: music on a device"}
	if got := slices.Compact(said); !slices.Equal(got, want) {
		t.Errorf("reported %q; wanted %q", got, want)
	}
}

// TestMuted: what a drill lets nobody hear is not heard here either: the music, or the
// calls of a position on their side, and nothing else.
func TestMuted(t *testing.T) {
	for _, c := range []struct {
		calls [2]string
		mute  []string
		heard [2]bool
	}{
		{[2]string{}, nil, [2]bool{true, false}},
		{[2]string{}, []string{crew.MuteMusic}, [2]bool{false, false}},
		{[2]string{}, []string{"Quay"}, [2]bool{true, false}},
		{[2]string{"Quay", ""}, []string{"Quay"}, [2]bool{false, false}},
		{[2]string{"Quay", ""}, []string{"Mole", crew.MuteMusic}, [2]bool{true, false}},
	} {
		s := newStage(t, 0)
		s.Calls, s.view.State.Mute = c.calls, c.mute
		s.runs(0, 0)
		s.pass(time.Second, nil)
		if got := [2]bool{s.dev.last[0] != 0, s.dev.last[1] != 0}; got != c.heard {
			t.Errorf("%q muted, calls of %q: heard %v; wanted %v", c.mute, c.calls, got, c.heard)
		}
	}
}

// TestNotRunning: in no state but that of a run at the pace of music is there sound.
func TestNotRunning(t *testing.T) {
	for _, state := range []show.State{show.Safe, show.Armed, show.Held, show.Ended} {
		s := newStage(t, 0)
		s.view.State.State = state.String()
		s.pass(time.Second, nil)
		if s.dev.playing {
			t.Errorf("it plays: %v", state)
		}
	}
	s := newStage(t, 0)
	s.runs(0, 0)
	s.view.State.Speed = 10
	s.pass(time.Second, nil)
	if s.dev.playing {
		t.Error("it plays while the lead goes at ten times the pace of music")
	}
}

// TestWords: what a status says, the worst first.
func TestWords(t *testing.T) {
	for want, s := range map[string]*Status{
		"none here":                                                 nil,
		"music on a device":                                         {Name: "music", Output: "a device"},
		"joins the lead: music on a device":                         {Name: "music", Output: "a device", Plays: true},
		"within 0.1 ms of the lead: music on a device":              {Name: "music", Output: "a device", Plays: true, Measured: true},
		"within 3.4 ms of the lead: music on a device":              {Name: "music", Output: "a device", Plays: true, Measured: true, Early: -1210 * time.Microsecond, Bound: 2140 * time.Microsecond},
		"calls.wav: LOST, no sound device; it comes back by itself": {Name: "calls.wav", Lost: "unplugged"},
		"calls.wav: SILENT, the copy cannot be read":                {Name: "calls.wav", Broken: "bad"},
	} {
		if got := s.Words(); got != want {
			t.Errorf("%q; wanted %q", got, want)
		}
		if s.Alarming() != (s != nil && s.Output == "") {
			t.Errorf("%q: alarming is %v", want, s.Alarming())
		}
	}
}
