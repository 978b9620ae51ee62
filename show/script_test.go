package show

import (
	"strings"
	"testing"
	"time"
)

// TestScriptAnyway: the word stands behind a start, a resume or a nudge, and is a word
// of the reason elsewhere.
func TestScriptAnyway(t *testing.T) {
	steps, err := ParseScript("script", strings.NewReader("+0 start anyway\n+0 resume anyway\n1 nudge earlier 5 anyway\n1 nudge later 0.5\n1 hold it anyway\n+0 arm anyway\n"))
	if err != nil {
		t.Fatal(err)
	}
	for i, want := range []Command{
		{Action: Start, Anyway: true}, {Action: Resume, Anyway: true},
		{Action: Nudge, Step: 5 * time.Second, Anyway: true}, {Action: Nudge, Step: -ms(500)},
		{Action: Hold, Reason: "it anyway"}, {Action: Arm, Anyway: true},
	} {
		if got := steps[i].Do.Command; got != want {
			t.Errorf("line %d: %+v, want %+v", i+1, got, want)
		}
	}
	for _, line := range []string{"1 nudge anyway", "1 nudge earlier anyway 5", "+0 anyway", "1 tap anyway"} {
		if _, err := ParseScript("script", strings.NewReader(line)); err == nil {
			t.Errorf("%q was taken", line)
		}
	}
}

func TestReentryInAScript(t *testing.T) {
	steps, err := ParseScript("s", strings.NewReader("+1 re-enter 1:05.000 run-up 4\n+1 re-enter 12\n"))
	if err != nil || len(steps) != 2 {
		t.Fatalf("%v, %v", steps, err)
	}
	for i, want := range []Command{{Action: Reenter, From: 65 * time.Second, RunUp: 4 * time.Second}, {Action: Reenter, From: 12 * time.Second}} {
		if steps[i].Do.Command != want {
			t.Errorf("%+v, want %+v", steps[i].Do.Command, want)
		}
	}
	for _, bad := range []string{"re-enter", "re-enter soon", "re-enter 1 run-up", "re-enter 1 run-up x", "re-enter 1 after 2"} {
		if _, err := ParseScript("s", strings.NewReader("0 "+bad+"\n")); err == nil {
			t.Errorf("%q was taken", bad)
		}
	}
}

// A nudge of a script goes in tenths, by up to both limits at once: from one end to
// the other.
func TestScriptNudges(t *testing.T) {
	for _, tt := range []struct {
		line string
		want time.Duration // 0: refused
	}{
		{"earlier 0.1", ms(100)}, {"later 0.1", -ms(100)}, {"earlier 20", 20 * time.Second}, {"later 20.0", -20 * time.Second},
		{"earlier 20.1", 0}, {"earlier 0", 0}, {"earlier 0.25", 0}, {"sooner 0.1", 0}, {"earlier", 0}, {"earlier 0.1 0.1", 0},
	} {
		steps, err := ParseScript("test", strings.NewReader("+1 nudge "+tt.line+"\n"))
		if (err == nil) != (tt.want != 0) {
			t.Errorf("%s: %v", tt.line, err)
		}
		if err == nil && (len(steps) != 1 || steps[0].Do.Command.Step != tt.want) {
			t.Errorf("%s: %+v, want %v", tt.line, steps, tt.want)
		}
	}
}

// A line may be long, as notes are; one of more than 4,096 characters is told as such.
func TestScriptLongLines(t *testing.T) {
	for letters, want := range map[int]bool{4000: true, 4100: false, 100_000: false} {
		steps, err := ParseScript("test", strings.NewReader("+1 note "+strings.Repeat("x", letters)+"\n"))
		if want && (err != nil || len(steps) != 1 || steps[0].Do.Kind != KindNote) || !want && (err == nil || !strings.Contains(err.Error(), "more than 4096 characters")) {
			t.Errorf("a note of %d letters: %d steps, %v", letters, len(steps), err)
		}
	}
}

// The words of the go / no-go list and of who is in the field. Who is on the list, the
// list alone knows.
func TestReadyInAScript(t *testing.T) {
	for line, want := range map[string]ScriptAction{
		"go":                          {Kind: KindAnswer, Answer: AnswerGo},
		"go Safety officer":           {Kind: KindAnswer, Answer: AnswerGo, Text: "Safety officer"},
		`no-go "Spotter" wind, gusts`: {Kind: KindAnswer, Answer: AnswerNoGo, Text: `"Spotter" wind, gusts`},
		"no-go Spotter":               {Kind: KindAnswer, Answer: AnswerNoGo, Text: "Spotter"},
		"withdraw Spotter":            {Kind: KindAnswer, Text: "Spotter"},
		"enter Ada Two":               {Kind: KindEnter, Text: "Ada Two"},
		"enter Ada anyway":            {Kind: KindEnter, Text: "Ada", Command: Command{Anyway: true}},
		"back Ada":                    {Kind: KindBack, Text: "Ada"},
		"re-enter 0:10 anyway":        {Command: Command{Action: Reenter, From: 10 * time.Second, Anyway: true}},
	} {
		steps, err := ParseScript("script", strings.NewReader("+0 "+line))
		if err != nil || steps[0].Do != want {
			t.Errorf("%s: %+v, %v; want %+v", line, steps, err, want)
		}
	}
	for _, line := range []string{"no-go", "withdraw", "enter", "back", "went Ada"} {
		if _, err := ParseScript("script", strings.NewReader("+0 "+line)); err == nil {
			t.Errorf("%q was taken", line)
		}
	}
}
