package align

import (
	"fmt"
	"math"
	"strings"
	"time"

	"drylane/show/timebase"
)

// Sentence puts the result in words, for names such as "the master" (A) and
// "the stick's file" (B): "the stick's file starts 26.1 ms later than the
// master and runs true".
func (r Result) Sentence(a, b string) string {
	switch r.Verdict {
	case Different:
		return fmt.Sprintf("%s and %s are not the same music", b, a)
	case TooLittle:
		return r.tooLittle(a, b)
	case Recorded:
		return r.recorded(a, b)
	}
	s := fmt.Sprintf("%s %s and %s", b, r.starts(a), r.runs())
	if r.Verdict == Partly {
		s = fmt.Sprintf("only %.0f %% of %s is found in %s, from %s to %s: there %s", 100*r.onLine(), a, b, clock(r.FromMs), clock(r.ToMs), s)
	}
	return s + r.faults(a, b)
}

// recorded says how a recording lies. Which of the two it is nobody can tell by its place.
func (r Result) recorded(a, b string) string {
	s := fmt.Sprintf("%s and %s are the same music, one of them recorded through a room: recognised from %s to %s of %s; %s %s and %s",
		a, b, clock(r.FromMs), clock(r.ToMs), a, b, r.starts(a), r.runs())
	for _, h := range r.Holds {
		s += fmt.Sprintf("; held for %.1f s at about %s of %s", h.LengthMs/1000, clock(h.AtMs), a)
	}
	if len(r.Holds) > 0 {
		s += ": \"drylane hear\" tells more"
	}
	return s
}

func (r Result) tooLittle(a, b string) string {
	const why = "too little sound to compare: silence, steady tones, or only a few seconds"
	switch r.Quiet {
	case "a":
		return a + " has " + why
	case "b":
		return b + " has " + why
	}
	return a + " and " + b + " have " + why
}

func (r Result) onLine() float64 {
	if r.WindowsTotal == 0 {
		return 0
	}
	return float64(r.WindowsUsed) / float64(r.WindowsTotal)
}

// starts says how the starts lie, to a tenth of a millisecond.
func (r Result) starts(a string) string {
	switch ms := math.Round(r.OffsetMs*10) / 10; {
	case ms > 0:
		return fmt.Sprintf("starts %s later than %s", span(ms), a)
	case ms < 0:
		return fmt.Sprintf("starts %s earlier than %s", span(-ms), a)
	}
	return "starts together with " + a
}

func (r Result) runs() string {
	if r.Cause == CauseNone {
		return "runs true"
	}
	way := "slow"
	if r.RatePPM < 0 {
		way = "fast"
	}
	ms := span(math.Abs(r.RatePPM) * 60 / 1000)
	return fmt.Sprintf("runs %s by %s a minute (%.0f ppm: %s)", way, ms, math.Abs(r.RatePPM), r.Cause.Words())
}

// faults lists what else a person should know.
func (r Result) faults(a, b string) string {
	var f []string
	if r.Polarity < 0 {
		f = append(f, "its polarity is inverted")
	}
	f = append(f, r.SideFaults(a, b)...)
	f = append(f, r.lacks(a)...)
	if r.Swapped {
		f = append(f, "left and right are exchanged")
	}
	if r.Ambiguous {
		f = append(f, fmt.Sprintf("but the music repeats itself and fits as well at %+.1f ms", r.AlternativeMs))
	}
	if len(f) == 0 {
		return ""
	}
	return "; " + strings.Join(f, "; ")
}

// SideFaults says what is wrong with one side of B alone, or of A, in a part of a
// sentence each.
func (r Result) SideFaults(a, b string) (f []string) {
	if r.Reversed != "" {
		f = append(f, fmt.Sprintf("the polarity of its %s side is reversed", r.Reversed))
	}
	if r.OneSide != "" {
		f = append(f, fmt.Sprintf("only the %s side of %s is in it", r.OneSide, a))
	}
	if r.BMissing != "" {
		f = append(f, fmt.Sprintf("its %s side is silent", r.BMissing))
	}
	if r.AMissing != "" {
		f = append(f, fmt.Sprintf("the %s side of %s is silent, and in %s it is not", r.AMissing, a, b))
	}
	return f
}

// lacks says how much of A is not in B.
func (r Result) lacks(a string) (f []string) {
	if r.LacksStartMs > 0 {
		f = append(f, fmt.Sprintf("the first %.1f s of the music of %s are not in it", r.LacksStartMs/1000, a))
	}
	if r.LacksEndMs > 0 {
		f = append(f, fmt.Sprintf("the last %.1f s of the music of %s are not in it", r.LacksEndMs/1000, a))
	}
	return f
}

// Whole reports whether B is A's music from its first sound to its last, with both
// sides as they are there.
func (r Result) Whole() bool {
	return r.Same && r.Reversed == "" && r.AMissing == "" && r.BMissing == "" && r.OneSide == "" && r.LacksStartMs == 0 && r.LacksEndMs == 0
}

// span writes milliseconds, or seconds from one on.
func span(ms float64) string {
	if ms < 1000 {
		return fmt.Sprintf("%.1f ms", ms)
	}
	return fmt.Sprintf("%.4f s", ms/1000)
}

// clock writes ms milliseconds to the second.
func clock(ms float64) string {
	return timebase.Clock(time.Duration(math.Round(max(0, ms)/1000)) * time.Second)
}
