package show

import (
	"strings"
	"testing"
	"time"
)

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
