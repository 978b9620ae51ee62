package report

import (
	"strings"
	"testing"
	"time"
)

// The summary's words carry its figures: seconds as seconds.
func TestSummaryInWords(t *testing.T) {
	text := Summary{Title: "Rain", State: "ended", Heard: "2:15", Cues: 3, Fired: 2, Skipped: 1, Holds: 2, Held: 4200 * time.Millisecond, Taps: 9,
		Drift: []EraSummary{{Nudge: "NO NUDGE", Taps: 9, Counted: 8, Late: 0.25, Spread: 0.06, Verdict: "suggest EARLIER 0.2 s"}}}.Text()
	for _, want := range []string{
		"Rain: ended at 2:15. 3 cues: 2 fired, 1 skipped, 0 left.", "2 holds, 4.20 s in all.",
		"Taps with NO NUDGE: 9: median 0.25 s late, spread 0.06 s.", "suggest EARLIER 0.2 s",
	} {
		if !strings.Contains(text, want) {
			t.Errorf("%q is not in\n%s", want, text)
		}
	}
}
