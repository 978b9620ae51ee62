package hear

import (
	"fmt"
	"slices"
	"time"

	"drylane/show"
)

const (
	// another is how far the bangs of two recordings may lie apart, in the middle of those
	// that both have, before they are told to be of two fires or of two places; what
	// microphones among one audience hear differs by some 50 ms.
	another = 150 * time.Millisecond
	// common is how many bangs both must have.
	common = 8
)

// disagreements compares each further recording with the first, both by themselves.
func disagreements(s *show.Show, recordings []Recording, audience int) []Verdict {
	if len(recordings) < 2 {
		return nil
	}
	first := check(s, recordings[:1], audience)
	var out []Verdict
	for k, r := range recordings {
		own := first
		if k > 0 {
			own = check(s, recordings[k:k+1], audience)
		}
		if own.rehearsed() {
			out = append(out, Verdict{Code: OfRehearsal, Text: show.Clean(r.Name) + " is the sound of a rehearsal: leave it out"})
			continue
		}
		if by, ok := between(first, own); ok && by.Abs() > another {
			out = append(out, Verdict{Code: Disagrees, Text: fmt.Sprintf("%s disagrees with %s: the same bangs are %.2f s %s in it; is it of another night, or from another place?",
				show.Clean(r.Name), show.Clean(recordings[0].Name), by.Abs().Seconds(), sooner(by))})
		}
	}
	return out
}

// between is how much later the cues that two reports have are in the second, in the
// middle of them.
func between(a, b Report) (time.Duration, bool) {
	late := map[string]time.Duration{}
	for _, c := range a.Cues {
		if c.State == Heard {
			late[c.ID] = c.Late
		}
	}
	var all []time.Duration
	for _, c := range b.Cues {
		if was, ok := late[c.ID]; ok && c.State == Heard {
			all = append(all, c.Late-was)
		}
	}
	if len(all) < common || !a.Show.Told || !b.Show.Told {
		return 0, false
	}
	slices.Sort(all)
	return all[len(all)/2], true
}

func (rep Report) rehearsed() bool {
	return slices.ContainsFunc(rep.Verdicts, func(v Verdict) bool { return v.Code == OfRehearsal })
}

func sooner(by time.Duration) string {
	if by < 0 {
		return "earlier"
	}
	return "later"
}
