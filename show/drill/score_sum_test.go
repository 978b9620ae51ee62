package drill

import (
	"bytes"
	"errors"
	"math"
	"slices"
	"strings"
	"testing"
	"time"

	"drylane/show"
	"drylane/show/session"
)

// TestMissingStep: a step that did not come is left out when it could not, and
// poor when it waited for the trainee.
func TestMissingStep(t *testing.T) {
	steps := []Step{
		{Name: "person", When: Trigger{From: 20 * time.Second}, Wants: WantHold},
		{Name: "clear", When: Trigger{After: "hold"}, Wants: WantResume},
		{Name: "thanks", When: Trigger{After: "clear"}},
		{Name: "late", When: Trigger{From: 2 * time.Minute}},
	}
	tests := []struct {
		name  string
		run   func(r *rig)
		drawn []Step
		step  string
		grade Grade
		says  string
	}{
		{"over before it", unheldTo(60_000), steps, "late", LeftOut, "the drill was over before"},
		{"not drawn", unheldTo(60_000), append(steps[:1:1], steps[3]), "clear", LeftOut, "not part of this exercise"},
		{"waits for a hold", unheldTo(60_000), steps, "clear", Poor, "waits for a hold, which never came"},
		{"waits for what waits for a hold", unheldTo(60_000), steps, "thanks", Poor, "waits for a hold, which never came"},
		{"left", unheldTo(15_000), steps, "person", Poor, "had not come when the run ended"},
		{"left, not drawn", unheldTo(15_000), steps[1:], "person", LeftOut, "not part"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			r := newRig(t)
			tt.run(r)
			x := &Exercise{Drill: &Drill{Steps: steps}, Steps: tt.drawn}
			for _, kind := range []Kind{TimeToHold, CuesAfterCall, TimeToResume, EarlyResumes, TimeToCut, TimeToStandDown, TimeToGoOnSilent} {
				l := r.score(x, Measure{Kind: kind, Step: tt.step}).Lines[0]
				if l.Grade != tt.grade || !strings.Contains(l.Says, tt.says) {
					t.Errorf("%s: %s, %q; want %s, %q", kind, l.Grade, l.Says, tt.grade, tt.says)
				}
			}
		})
	}
}

// unheldTo plays on up to a moment; a step comes at 20 s.
func unheldTo(n int64) func(r *rig) {
	return func(r *rig) {
		r.start()
		if r.play(min(n, 20_000)); n > 20_000 {
			r.step("person", Radio, WantHold)
		}
		r.play(n)
		r.say(session.KindClosed, session.Data{})
	}
}

// TestPoints adds up: 2.1 s is good for 3, 1 cue passes for 2, what is left
// out takes no part, and the needless hold is a cost: it weighs a ninth of the
// others, so that it is a tenth of the marks. (3 + 2/2) / (3 + 2 + 5/9) is 72 %.
func TestPoints(t *testing.T) {
	r := newRig(t)
	r.start()
	r.play(10_000)
	r.hold("")
	r.resume(5000)
	r.play(20_000)
	r.step("person", Radio, WantHold)
	r.play(22_100)
	r.hold("person")
	r.wait(8000)
	r.step("clear", Radio, WantResume)
	r.resumeAfter(8000, 1000)
	r.end()
	res := r.score(&Exercise{Drill: &Drill{}, Seed: 7},
		Measure{Kind: TimeToHold, Step: "person", Good: 3, Pass: 6, Weight: 3},
		Measure{Kind: CuesAfterCall, Step: "person", Good: 0, Pass: 1, Weight: 2},
		Measure{Kind: TimeToHold, Step: "gust", Good: 3, Pass: 6, Weight: 10},
		Measure{Kind: NeedlessHolds})
	if !res.Scored || res.Score != 72 || !res.Finished || res.Run != 1 || res.Person != "Robin" || res.Seed != 7 {
		t.Errorf("score %d, %+v", res.Score, res)
	}
	grades := []Grade{Good, Pass, LeftOut, Cost}
	points := []float64{54, 18, 0, 0}
	for i, l := range res.Lines {
		if l.Grade != grades[i] || math.Abs(l.Points-points[i]) > 1e-9 {
			t.Errorf("%s: %s, %v points; want %s, %v", l.Kind, l.Grade, l.Points, grades[i], points[i])
		}
	}
	if want := "1 cue fired after the call before they were stopped; good is none, pass up to 1 cue"; res.Lines[1].Says != want {
		t.Errorf("%q, want %q", res.Lines[1].Says, want)
	}
	if len(res.Holds) != 2 || res.Holds[0] != (Span{10 * time.Second, 15 * time.Second}) || res.Length != 74*time.Second {
		t.Errorf("holds %v of %v", res.Holds, res.Length) // 60 s of music, 5 s and 9 s held
	}
}

// TestThresholdsHold: a value on the threshold is on its good side.
func TestThresholdsHold(t *testing.T) {
	m := Measure{Good: 3, Pass: 6}
	for v, want := range map[Value]Grade{0: Good, 3: Good, 3.01: Pass, 6: Pass, 6.01: Poor, Endless(): Poor} {
		if got := m.grade(v); got != want {
			t.Errorf("%v: %s, want %s", v, got, want)
		}
	}
}

// TestNothingScored: with nothing to measure there is no score.
func TestNothingScored(t *testing.T) {
	r := newRig(t)
	unheldTo(60_000)(r)
	if res := r.score(none(), Measure{Kind: TimeToHold, Step: "gust"}); res.Scored || res.Score != 0 {
		t.Errorf("scored %v, %d", res.Scored, res.Score)
	}
}

// TestOverEndsIt: what comes after the end of the drill does not count, be it
// called over or at its moment of music.
func TestOverEndsIt(t *testing.T) {
	for name, over := range map[string]func(r *rig) *Exercise{
		"step":  func(r *rig) *Exercise { r.step("", Over, WantNothing); return none() },
		"until": func(*rig) *Exercise { return &Exercise{Drill: &Drill{Until: 20 * time.Second}} },
	} {
		t.Run(name, func(t *testing.T) {
			r := newRig(t)
			r.start()
			r.play(20_000)
			x := over(r)
			r.play(22_000)
			r.hold("")
			r.press(1)
			r.do(show.Command{Action: show.Cut})
			res := r.score(x, Measure{Kind: NeedlessHolds}, Measure{Kind: NeedlessNudges}, Measure{Kind: NeedlessCuts})
			if res.Score != 100 || !res.Finished || res.Ended != "run to its end" {
				t.Errorf("score %d, finished %v, %s", res.Score, res.Finished, res.Ended)
			}
		})
	}
}

// TestLastRunIsScored: of several runs the last that was started.
func TestLastRunIsScored(t *testing.T) {
	r := newRig(t)
	r.start()
	r.play(5000)
	r.do(show.Command{Action: show.Cut})
	r.start()
	r.play(60_000)
	r.do(show.Command{Action: show.Reset})
	r.do(show.Command{Action: show.Arm})
	r.step("person", Radio, WantHold)
	r.say(session.KindClosed, session.Data{})
	res := r.score(none(), Measure{Kind: NeedlessCuts})
	if res.Run != 2 || !res.Finished || res.Score != 100 || len(res.Moments) != 3 {
		t.Errorf("run %d, finished %v, score %d, %v", res.Run, res.Finished, res.Score, res.Moments)
	}
}

func TestNotStarted(t *testing.T) {
	r := newRig(t)
	r.do(show.Command{Action: show.Arm})
	if _, err := Score(r.read(), none()); !errors.Is(err, ErrNotStarted) {
		t.Errorf("got %v", err)
	}
}

// TestHoldIsNoPress: what comes soon after a press LATER, and is none, has a moment of its
// own.
func TestHoldIsNoPress(t *testing.T) {
	r := newRig(t)
	r.start()
	r.play(10_000)
	r.press(-1)
	r.wait(300)
	r.hold("")
	r.end()
	var said []string
	for _, m := range r.score(none()).Moments {
		said = append(said, m.Text)
	}
	if !slices.Equal(said[:4], []string{"armed", "started", "nudged to LATER 0.1 s", "held"}) {
		t.Errorf("%q", said)
	}
}

// TestMoments looks at the timeline of a whole run.
func TestMoments(t *testing.T) {
	r := newRig(t)
	r.start()
	r.play(10_000)
	r.press(1)
	r.wait(400)
	r.press(1)
	r.wait(5000)
	r.press(1)
	r.play(20_000)
	r.step("person", Radio, WantHold)
	r.play(22_100)
	r.hold("person")
	r.wait(500)
	r.step("clear", Radio, WantResume)
	r.resumeAfter(500, 100)
	r.say(session.KindTap, session.Data{})
	r.end()
	got := r.score(planted(300)).Moments
	want := []Moment{
		{Since: -2 * time.Second, Kind: IsFault, Text: "every effect comes 0.3 s late", Answer: -1},
		{Since: -2 * time.Second, Kind: IsAction, Text: "armed", Answer: -1},
		{Kind: IsAction, Text: "started", Answer: -1},
		{Since: 10 * time.Second, Heard: 10 * time.Second, Kind: IsAction, Text: "nudged to EARLIER 0.2 s, 2 presses", Answer: -1},
		{Since: ms(15_400), Heard: 10 * time.Second, Kind: IsAction, Text: "nudged to EARLIER 0.3 s", Answer: -1},
		{Since: ms(25_400), Heard: 20 * time.Second, Kind: IsCall, Text: "Left: person said", Wants: WantHold, Answer: 6, After: ms(2100)},
		{Since: ms(27_500), Heard: ms(22_100), Kind: IsAction, Text: "held: person", Answer: -1},
		{Since: ms(28_000), Heard: ms(22_100), Kind: IsCall, Text: "Left: clear said", Wants: WantResume, Answer: 8, After: ms(100)},
		// Cue 10 with EARLIER 0.3 s was lit at 20.7 s, up until 22.7 s: 0.6 s
		// from the hold, which lasted 0.6 s. Cue 9 is long gone.
		{Since: ms(28_100), Heard: ms(22_100), Kind: IsAction, Text: "resumed", Answer: -1},
		{Since: ms(66_000), Heard: time.Minute, Kind: IsRun, Text: "the show ended", Answer: -1},
	}
	for i := range max(len(got), len(want)) {
		if i >= len(got) || i >= len(want) || got[i] != want[i] {
			t.Fatalf("moment %d of %d:\n got %+v\nwant %+v", i, len(got), got[min(i, len(got)-1)], want[min(i, len(want)-1)])
		}
	}
}

// TestLossOnTheTimeline: the console's own hold answers at once, and what it
// notes of the cause is not the trainee's.
func TestLossOnTheTimeline(t *testing.T) {
	r := newRig(t)
	r.start()
	r.play(20_000)
	r.say(session.KindDrill, session.Data{Step: "loss", Do: string(DeviceLost), Wants: string(WantHold)})
	r.say(session.KindDevice, session.Data{})
	r.say(session.KindDevice, session.Data{Error: "unplugged"})
	r.lose()
	r.say(session.KindNote, session.Data{Text: "the sound device went away"})
	r.say(session.KindSecond, session.Data{Did: session.SecondLost, Track: "calls.wav", Error: "unplugged"})
	r.say(session.KindDrill, session.Data{Do: string(Radio), From: "sound desk", Text: "Sound desk. On it."})
	r.resume(5000)
	r.end()
	moments := r.score(none()).Moments
	want := []string{"armed", "started", "the sound device goes away (wants hold: came at once)", "unplugged",
		"held by itself: the sound device went away", "noted: the sound device went away",
		"second output: calls.wav is lost, the music goes on: unplugged", "Sound desk. On it.", "resumed", "the show ended"}
	for i, m := range moments {
		if len(moments) != len(want) || m.Words() != want[i] {
			t.Fatalf("moment %d of %d: %q", i, len(moments), m.Words())
		}
	}
}

// TestTrainersHoldOnTheTimeline: it answers no call, and is not the trainee's.
func TestTrainersHoldOnTheTimeline(t *testing.T) {
	r := newRig(t)
	trainerHolds(r)
	moments := r.score(none()).Moments
	if len(moments) < 4 || moments[2].Wants != WantHold || moments[2].Answer != -1 || moments[3].Kind != IsRun || moments[3].Text != "held: Tom called it" {
		t.Errorf("%+v", moments)
	}
}

// TestContradiction: a log that its own commands do not lead to is refused.
func TestContradiction(t *testing.T) {
	r := newRig(t)
	unheldTo(60_000)(r)
	text := strings.Replace(r.buf.String(), `"kind":"started"`, `"kind":"resumed"`, 1)
	log, err := session.Read(bytes.NewReader([]byte(text)))
	if err != nil {
		t.Fatal(err)
	}
	if _, err := Score(log, none()); err == nil || !strings.Contains(err.Error(), "cannot resume") {
		t.Errorf("got %v", err)
	}
}

// TestFinishedRunCounts: arming once more and leaving does not undo a drill
// that was finished; finishing it a second time does.
func TestFinishedRunCounts(t *testing.T) {
	r := newRig(t)
	through := func(to int64, finish bool) {
		r.start()
		r.play(to)
		if finish {
			r.step("over", Over, WantNothing)
		}
		r.do(show.Command{Action: show.Cut})
	}
	for _, c := range []struct {
		finish bool
		want   int // the run that is scored
	}{{false, 1}, {true, 2}, {false, 2}, {true, 4}, {false, 4}} {
		through(9000, c.finish)
		if res := r.score(none(), Measure{Kind: NeedlessHolds}); res.Run != c.want || res.Finished != (c.want > 1) {
			t.Errorf("run %d is scored, finished %v; want run %d", res.Run, res.Finished, c.want)
		}
	}
}
