package report

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"drylane/show/crew"
	"drylane/show/session"
	"drylane/show/words"
)

// CrewLines tell of everybody who took part from a machine of their own: how they
// answered to holds, and what they told; none when nobody did.
func (r *Run) CrewLines() []string {
	var lines []string
	for _, p := range r.Crew {
		lines = append(lines, personWords(p))
	}
	return cleaned(lines)
}

// personWords tell of one.
func personWords(p *session.Person) string {
	said := []string{holdsWords(p)}
	add := func(ok bool, text string) {
		if ok {
			said = append(said, text)
		}
	}
	add(p.Called > 0, "called HOLD "+words.Times(p.Called))
	add(p.Refused > 0, "refused a resume "+words.Times(p.Refused))
	lost := "lost " + words.Times(p.Lost)
	if p.LostFor > 0 {
		lost += fmt.Sprintf(", for %.1f s in all", p.LostFor.Seconds())
	}
	if p.Away {
		lost += ", NOT BACK when the log ended"
	}
	add(p.Lost > 0, lost)
	add(p.Seen > 0, "saw "+words.Count(p.Seen, "cue"))
	add(len(p.Missed) > 0, "told of cues that did not go: "+words.List(p.Missed))
	at := ""
	if p.Place != "" {
		at = " at " + p.Place
	}
	add(p.Taps > 0, words.Count(p.Taps, "tap")+at)
	role, _ := strings.CutPrefix(p.Role, string(crew.Position)+":")
	return p.Name + " (" + role + "): " + strings.Join(said, "; ")
}

// holdsWords tell how somebody answered to holds, and how fast by the lead's clock.
func holdsWords(p *session.Person) string {
	n := len(p.Answered)
	all := words.Count(max(p.Holds, n), "hold") // one that was on already may be acknowledged, too
	switch {
	case max(p.Holds, n) == 0:
		return "there in no hold"
	case n == 0:
		return "acknowledged none of " + all
	case n <= fewAnswers:
		var each []string
		for _, after := range p.Answered {
			each = append(each, fmt.Sprintf("%.1f s", after.Seconds()))
		}
		return fmt.Sprintf("acknowledged %d of %s, after %s%s", n, all, words.List(each), within(p.Bound))
	default:
		sorted := slices.Clone(p.Answered)
		slices.Sort(sorted)
		return fmt.Sprintf("acknowledged %d of %s, after %.1f s (median), %.1f s at most%s", n, all,
			sorted[(n-1)/2].Seconds(), sorted[n-1].Seconds(), within(p.Bound))
	}
}

// fewAnswers is how many answers are told each.
const fewAnswers = 4

// within says how well a clock was known, where that matters to figures of tenths.
func within(bound time.Duration) string {
	if bound < 50*time.Millisecond {
		return ""
	}
	return fmt.Sprintf(" (by a clock known within %.1f s)", bound.Seconds()+0.05)
}
