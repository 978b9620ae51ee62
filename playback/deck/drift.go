package deck

import (
	"fmt"
	"strings"
	"time"

	"drylane/show"
	"drylane/show/drift"
	"drylane/show/timebase"
	"drylane/show/words"
)

// eras splits taps where the nudge changes.
func eras(taps []Tap) []drift.Era[Tap] {
	return drift.Eras(taps, func(t Tap) time.Duration { return t.Nudge })
}

// driftOf says what taps under one nudge tell of the cues of t.
func driftOf(taps []Tap, t *show.Transport, cues []show.Cue, cfg drift.Config) drift.Report {
	rate := t.Plan().Rate
	heard := make([]drift.Tap, len(taps))
	for i, tap := range taps {
		heard[i] = drift.Tap{Heard: tap.At.At(rate)}
	}
	return drift.Analyse(CuesInForce(t, cues), heard, cfg)
}

// CuesInForce returns every cue that is not stood down, with its effect as it
// is in force.
func CuesInForce(t *show.Transport, cues []show.Cue) []drift.Effect {
	p := t.Plan()
	out := make([]drift.Effect, 0, len(p.Cues))
	for i := range p.Cues {
		if !t.Down(i) && !t.SeenInHold(i) {
			out = append(out, drift.Effect{At: t.EffectAt(i).At(p.Rate), Lane: cues[p.Cues[i].List].Position})
		}
	}
	return out
}

// A Summary is what is said when a run is over.
type Summary struct {
	Title   string        `json:"title"`
	State   string        `json:"state"`
	Heard   string        `json:"heard"`
	Cues    int           `json:"cues"`
	Fired   int           `json:"fired"`
	Skipped int           `json:"skipped"`
	Left    int           `json:"left"`
	Holds   int           `json:"holds"`
	Held    time.Duration `json:"held_ns"`
	Taps    int           `json:"taps"`
	Drift   []EraSummary  `json:"drift"`
}

// An EraSummary is the drift between two nudges.
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

// Summarise sums up the run that s shows the end of. tapper says how the person
// at the keys taps.
func Summarise(s *Snapshot, sh *show.Show, tapper drift.Config) Summary {
	t := &s.Transport
	p := t.Plan()
	sum := Summary{Title: sh.Title, State: t.State().String(), Heard: timebase.ClockMillis(t.Heard().At(p.Rate)),
		Cues: len(p.Cues), Taps: len(s.Taps)}
	sum.Holds, sum.Held = t.Holds()
	for i := range t.Next() {
		if t.Down(i) {
			sum.Skipped++
		} else {
			sum.Fired++
		}
	}
	sum.Left = sum.Cues - sum.Fired - sum.Skipped
	for _, era := range eras(s.Taps) {
		r := driftOf(era.Taps, t, sh.Cues, tapper)
		e := EraSummary{Nudge: words.Nudge(era.Nudge), Taps: len(era.Taps), Counted: r.Show.N,
			Late: r.Show.Offset.Seconds(), Low: r.Show.Low.Seconds(), High: r.Show.High.Seconds(), Spread: r.Show.Spread.Seconds(),
			Code: string(r.Verdict.Code), Suggest: words.Nudge(r.Verdict.Nudge), Verdict: r.Verdict.Text}
		sum.Drift = append(sum.Drift, e)
	}
	return sum
}

// Text is the summary in words.
func (s Summary) Text() string {
	var b strings.Builder
	fmt.Fprintf(&b, "%s: %s at %s. %s: %d fired, %d skipped, %d left.\n", s.Title, s.State, s.Heard, words.Count(s.Cues, "cue"), s.Fired, s.Skipped, s.Left)
	if s.Holds > 0 {
		fmt.Fprintf(&b, "%s, %.1f s in all.\n", words.Count(s.Holds, "hold"), s.Held.Seconds())
	}
	if s.Taps == 0 {
		b.WriteString("No taps: nothing is known of the drift.\n")
	}
	for _, e := range s.Drift {
		fmt.Fprintf(&b, "Drift with %s, %s", e.Nudge, words.Count(e.Taps, "tap"))
		if e.Counted > 0 {
			fmt.Fprintf(&b, ": median %s, spread %.2f s", lateWords(e.Late), e.Spread)
		}
		fmt.Fprintf(&b, ".\n  %s\n", e.Verdict)
	}
	return b.String()
}

func lateWords(s float64) string { return words.Late(time.Duration(s * float64(time.Second))) }
