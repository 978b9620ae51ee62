package deck

import (
	"context"
	"slices"
	"testing"
	"time"

	"drylane/show"
	"drylane/show/drill"
	"drylane/show/session"
	"drylane/show/timebase"
)

// TestLateOne: what a position had been given when the show was held goes off in
// the hold. The music goes on where it was held, without a frame lost or doubled; the
// cue fires for the record when it comes, and is not heard a second time.
func TestLateOne(t *testing.T) {
	cues := list(12, 500*time.Millisecond)
	for i := range cues {
		cues[i].Position = string(rune('A' + i%2)) // B at the full seconds
	}
	b := show.Group{By: show.LanesByPosition, Name: "B"}
	for _, tt := range []struct {
		name, held string
		cue        int
	}{
		{"due at the hold", "2.95", 5},
		{"its next", "2.6", 5},
	} {
		t.Run(tt.name, func(t *testing.T) {
			r := newRig(t, &ramp{length: 7 * rate, breaksAt: 1 << 40}, cues, "+0 arm\n+0 start\n"+tt.held+" hold\n+3 resume\n6.5 note end\n", false)
			r.cfg.Director = &plannedSteps{inHold: map[time.Duration]drill.Step{time.Second: {Name: "late", Do: drill.LateOne, Group: b}}}
			if err := r.Run(context.Background()); err != nil {
				t.Fatal(err)
			}
			music, bangs := -1, 0
			for i, s := range r.out.heard {
				if s[0] == 0 && s[1] != 0 {
					if i < int(2.5*rate) || i > 3*rate {
						t.Errorf("a bang beside the music at frame %d", i)
					}
					bangs++
					continue
				}
				if s == [2]float64{} && i > 0 { // silence behind the bang; frame 0 of the music is silent, too
					continue
				}
				if s[0] != float64(music+1) {
					t.Fatalf("frame %d of the music is heard where %d belongs", int(s[0]), music+1)
				}
				music++
				again := s[1] != 0 && music == int(timebase.FrameAt(cues[tt.cue].EffectAt, rate))
				if again {
					t.Errorf("cue %d is heard a second time", tt.cue+1)
				}
			}
			if bangs != 1 {
				t.Errorf("%d bangs in the hold, want 1", bangs)
			}
			var late []string
			fired := 0
			for _, e := range entriesOf(t, r) {
				switch e.Kind {
				case session.KindDrill:
					late = e.Data.Late
				case show.EventFired.String():
					fired++
				}
			}
			if !slices.Equal(late, []string{cues[tt.cue].ID}) || fired != len(cues) {
				t.Errorf("late: %q, fired: %d; want cue %d late and all fired", late, fired, tt.cue+1)
			}
			if l := r.Snapshot().Late; len(l) != 1 || l[0].Cue != tt.cue {
				t.Errorf("the screen is told of %v", l)
			}
		})
	}
}

// TestNoLateOne: nothing goes late while the music runs, nor of a position that is
// stood down or has nothing to come.
func TestNoLateOne(t *testing.T) {
	for _, script := range []string{
		"+0 arm\n+0 start\n2.0 note no hold\n4.0 note end\n",
		"+0 arm\n+0 start\n1.9 stand down position A\n1.9 hold\n+2 resume\n4.0 note end\n",
		"+0 arm\n+0 start\n3.5 hold\n+2 resume\n4.0 note end\n",
	} {
		r := newRig(t, &ramp{length: 5 * rate, breaksAt: 1 << 40}, list(6, 500*time.Millisecond), script, false)
		step := drill.Step{Name: "late", Do: drill.LateOne, Group: show.Group{By: show.LanesByPosition, Name: "A"}}
		r.cfg.Director = &plannedSteps{byMusic: map[timebase.Frame]drill.Step{at(1.5): step}, inHold: map[time.Duration]drill.Step{time.Second: step}}
		if err := r.Run(context.Background()); err != nil {
			t.Fatal(err)
		}
		if l := r.Snapshot().Late; l != nil {
			t.Errorf("%q: %v went late", script, l)
		}
	}
}

// TestLateOneCutShort: an aside that has not been heard out ends with a resume, and
// nothing of it is heard in place of the music.
func TestLateOneCutShort(t *testing.T) {
	long := func(show.Family) []float64 { return slices.Repeat([]float64{1}, 2*rate) }
	r := newRig(t, &ramp{length: 10 * rate, breaksAt: 1 << 40}, list(15, 500*time.Millisecond), "", true)
	r.cfg.Sound = long
	do := func(a show.Action) {
		r.act(show.ByShooter, show.ScriptAction{Command: show.Command{Action: a}}, r.clock.Now(), r.t.Heard())
		r.step()
	}
	do(show.Arm)
	do(show.Start)
	for range 4 {
		r.out.hear(3000)
		r.step()
	}
	do(show.Hold)
	held := r.t.Heard()
	r.Instruct(drill.Step{Do: drill.LateOne, Group: show.Group{By: show.LanesByPosition, Name: "A"}}, session.Data{})
	r.step()
	r.out.hear(1000)
	r.step()
	do(show.Resume)
	r.out.hear(1000)
	r.step()
	if got := r.t.Heard(); got != held+1000 {
		t.Errorf("heard %d of the music after 1000 frames from %d", got, held)
	}
	if s := r.out.heard[len(r.out.heard)-1]; s[0] != float64(held+999) {
		t.Errorf("frame %v is heard last, want %d", s[0], held+999)
	}
}
