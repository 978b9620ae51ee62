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
