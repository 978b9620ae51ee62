package screen

import (
	"fmt"
	"strings"
	"testing"

	"drylane/tui/internal/screentest"

	"github.com/muesli/termenv"
)

// TestThemeCodes pins what the themes write around a word, so that a change of
// look is seen in review.
func TestThemeCodes(t *testing.T) {
	t.Parallel()
	var b strings.Builder
	for _, name := range ThemeNames {
		th := NewTheme(name, termenv.ANSI256)
		for _, s := range []Style{BarSafe, BarRun, BarHeld, ClockHeld, Alarm, NudgeOn, NowLine, Burst, Lead, Gone, DownMark} {
			open, shut := th.codes(s)
			fmt.Fprintf(&b, "%s %d %q %q\n", name, s, open, shut)
		}
	}
	screentest.Golden(t, "theme-codes", strings.TrimSuffix(b.String(), "\n"))
}
