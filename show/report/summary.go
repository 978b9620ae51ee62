package report

import (
	"fmt"
	"strings"
	"time"

	"drylane/show"
	"drylane/show/drift"
	"drylane/show/timebase"
	"drylane/show/words"
)

// A Summary is what is said when a run is over: the figures of its sheet, so that the
// line at the end, the list of sessions and the page never tell two stories.
type Summary struct {
	Title   string        `json:"title"`
	State   string        `json:"state"`
	Heard   string        `json:"heard"`
	Cues    int           `json:"cues"`
	Fired   int           `json:"fired"`
	Skipped int           `json:"skipped"`
	Left    int           `json:"left"`
	Before  int           `json:"fired_before,omitempty"` // the run was re-entered
	LeftOut int           `json:"left_out,omitempty"`     // of Left: by the re-entry
	Holds   int           `json:"holds"`
	Open    int           `json:"resumed_open"` // holds resumed with something up or unticked
	Held    time.Duration `json:"held_ns"`
	Taps    int           `json:"taps"`
	Drift   []EraSummary  `json:"drift"`
	Verdict string        `json:"verdict"`          // of all taps, on the cue list as written
	Joined  string        `json:"joined,omitempty"` // ... of the crew's listeners, by place
	Field   []string      `json:"field,omitempty"`  // how the field board was answered, a line each
	Ready   []string      `json:"ready,omitempty"`  // who answered before the arming, a line each
	InField []string      `json:"in_field,omitempty"`
}

// An EraSummary is what the taps between two nudges say.
type EraSummary struct {
	Nudge   string  `json:"nudge"`
	Taps    int     `json:"taps"`
	Counted int     `json:"counted"`
	Late    float64 `json:"late_s"` // positive: the cues came late
	Low     float64 `json:"low_s"`
	High    float64 `json:"high_s"`
	Spread  float64 `json:"spread_s"`
	Code    string  `json:"code"`
	Suggest string  `json:"suggest"` // the change to make to the nudge, in words
	Verdict string  `json:"verdict"`
}

// Summary sums up the sheet.
func (s *Sheet) Summary() Summary {
	r := s.Run
	sum := Summary{Title: show.Clean(r.Header.Title), State: r.State.String(), Heard: timebase.ClockMillis(r.At(r.Heard)),
		Cues: len(r.Cues), Fired: r.Count(Fired), Skipped: r.Count(Skipped), Left: r.Count(Left), Before: r.Count(Before), LeftOut: r.leftOut(),
		Holds: len(r.Holds), Held: r.Held(), Taps: len(r.Taps), Verdict: s.Verdict(), Field: r.FieldLines(), Ready: r.ReadyLines(), InField: r.InFieldLines()}
	for _, h := range r.Holds {
		if h.Left.Any() {
			sum.Open++
		}
	}
	if s.Places != nil {
		sum.Joined = s.Places.Verdict.Text
	}
	for _, e := range s.Eras {
		sum.Drift = append(sum.Drift, eraSummary(e.Nudge, e.Taps, e.Drift))
	}
	if len(s.Eras) == 0 && len(r.Taps) > 0 {
		sum.Drift = []EraSummary{eraSummary(0, len(r.Taps), s.List)}
	}
	return sum
}

func eraSummary(nudge time.Duration, taps int, r drift.Report) EraSummary {
	return EraSummary{Nudge: words.Nudge(nudge), Taps: taps, Counted: r.Show.N,
		Late: r.Show.Offset.Seconds(), Low: r.Show.Low.Seconds(), High: r.Show.High.Seconds(), Spread: r.Show.Spread.Seconds(),
		Code: string(r.Verdict.Code), Suggest: words.Nudge(r.Verdict.Nudge), Verdict: r.Verdict.Text}
}

// Text is the summary in words.
func (s Summary) Text() string {
	var b strings.Builder
	fmt.Fprintf(&b, "%s: %s at %s. %s: %d fired, %d skipped, %d left.\n", s.Title, s.State, s.Heard, words.Count(s.Cues, "cue"), s.Fired, s.Skipped, s.Left)
	if s.Before > 0 {
		fmt.Fprintf(&b, "%d had fired before the re-entry.\n", s.Before)
	}
	if s.LeftOut > 0 {
		fmt.Fprintf(&b, "%d of those left were left out by the re-entry: still loaded, treat as live.\n", s.LeftOut)
	}
	for _, lines := range [][]string{s.Field, s.Ready, s.InField} {
		if len(lines) > 0 {
			b.WriteString(strings.Join(lines, "\n  ") + "\n")
		}
	}
	if s.Holds > 0 {
		fmt.Fprintf(&b, "%s, %s in all.\n", words.Count(s.Holds, "hold"), seconds(s.Held))
	}
	if s.Open > 0 {
		fmt.Fprintf(&b, "Resumed %s with something still up or unticked: drylane report last names it.\n", words.Times(s.Open))
	}
	if s.Joined != "" {
		fmt.Fprintf(&b, "Taps of listeners: %s\n", s.Joined)
	}
	if s.Taps == 0 && s.Joined == "" {
		b.WriteString("No taps: nothing says whether the cues were late or early.\n")
	}
	for _, e := range s.Drift {
		fmt.Fprintf(&b, "Taps with %s: %d", e.Nudge, e.Taps)
		// Where the taps do not fit the list, a median of them says nothing.
		if e.Counted > 0 && e.Code != string(drift.NoFit) {
			fmt.Fprintf(&b, ": median %s, spread %.2f s", lateWords(e.Late), e.Spread)
		}
		fmt.Fprintf(&b, ".\n  %s\n", e.Verdict)
	}
	if len(s.Drift) > 1 {
		fmt.Fprintf(&b, "The cue list as written: %s\n", s.Verdict)
	}
	return b.String()
}

func lateWords(s float64) string { return words.Late(time.Duration(s * float64(time.Second))) }
