package drill

import (
	"errors"
	"strings"
	"testing"
	"time"

	"drylane/show"
)

// exercise is a drill's file for the show of newRig.
const exercise = `title = "Person in the fallout area"
level = 2
show = "demo"
until = "0:50"
briefing = "You run the show."
good = """
Held within 3 seconds.

Resumed
on the clear."""
why = "Every cue after the call goes off over a person's head."

[[plant]]
late = 0.3

[[step]]
name = "person"
at = "0:20"
do = "radio"
from = "Left"
text = "person in the fallout area"
wants = "hold"

[[step]]
name = "clear"
after = "hold"
wait = "8"
do = "radio"
from = "Left"
text = "area clear"
wants = "resume"

[[measure]]
what = "time to hold"
step = "person"
good = 2
pass = 4
weight = 2

[[measure]]
what = "early resumes"
step = "clear"
good = 0

[[measure]]
what = "steps to a tenth"
good = 3
pass = 6
`

// robin is a run of the exercise: nudged to LATER 0.1 s and back to EARLIER
// 0.3 s at 10 s, held 2.5 s after the call, resumed 1.5 s after the clear.
func robin(t tb) *rig {
	r := newRig(t)
	r.header.Drill.File = exercise
	r.begin()
	r.start()
	r.play(10_000)
	r.press(-1, 1, 1, 1)
	r.play(20_000)
	r.step("person", Radio, WantHold)
	r.play(22_500)
	r.hold("person")
	r.wait(8000)
	r.step("clear", Radio, WantResume)
	r.resumeAfter(8000, 1500)
	r.play(50_000)
	r.step("over", Over, WantNothing)
	r.do(show.Command{Action: show.Cut})
	return r
}

// TestFromLog scores by what the log carries: 2.5 s to hold passes, a quarter of the
// way from good to pass (3/4 less a quarter of a quarter, of 2), no early resume (1),
// 4 presses to EARLIER 0.2 s, which is within a tenth, pass (0.5): 2.875 of 4.
func TestFromLog(t *testing.T) {
	res, err := FromLog("mon.jsonl", robin(t).read())
	if err != nil {
		t.Fatal(err)
	}
	if res.Score != 72 || res.Session != "mon.jsonl" || res.Drill != "quay" || res.Title != "Person in the fallout area" || res.Level != 2 {
		t.Errorf("%+v", res)
	}
	if len(res.Good) != 2 || res.Good[1] != "Resumed on the clear." {
		t.Errorf("good: %q", res.Good)
	}
	if want := ms(59_500); res.Length != want { // 50 s of music, 9.5 s held
		t.Errorf("length %v, want %v", res.Length, want)
	}
	if m := res.Moments[0]; m.Text != "every effect comes 0.3 s late" || m.Kind != IsFault {
		t.Errorf("the first moment is %+v", m)
	}
}

func TestFromLogErrors(t *testing.T) {
	log := robin(t).read()
	log.Header.Drill.File = "title = 7\n"
	if _, err := FromLog("x", log); err == nil || !strings.Contains(err.Error(), "the drill in the log does not read") {
		t.Errorf("got %v", err)
	}
	log.Header.Drill = nil
	if _, err := FromLog("x", log); !errors.Is(err, ErrNoDrill) {
		t.Errorf("got %v", err)
	}
}

// TestPlantWords: early and late, growing either way.
func TestPlantWords(t *testing.T) {
	for want, p := range map[string]Plant{
		"every effect of Slip comes 0.4 s early":                          {Position: "Slip", Late: []time.Duration{ms(-400)}},
		"every effect comes 0.3 s late, and 0.2 s more late each minute":  {Late: []time.Duration{ms(300)}, Grow: []time.Duration{ms(200)}},
		"every effect comes later and later, 0.2 s each minute":           {Grow: []time.Duration{ms(200)}},
		"every effect comes earlier and earlier, 0.2 s each minute":       {Grow: []time.Duration{ms(-200)}},
		"every effect comes 0.3 s late, and 0.2 s more early each minute": {Late: []time.Duration{ms(300)}, Grow: []time.Duration{ms(-200)}},
	} {
		if got := p.words(); got != want {
			t.Errorf("%q, want %q", got, want)
		}
	}
}
