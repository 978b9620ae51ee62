package show

import (
	"fmt"
	"strings"
	"unicode/utf8"
)

// maxProblems is how many problems of one severity are listed. Nobody reads
// more of them, and a broken file must not fill the memory with messages.
const maxProblems = 200

// A finder collects problems, up to maxProblems of each severity: a flood of
// warnings never hides a stop.
type finder struct {
	found  Problems
	counts [SeverityStop + 1]int
}

// add notes p unless the list of its severity is full.
func (f *finder) add(p Problem) {
	if f.counts[p.Severity]++; f.counts[p.Severity] <= maxProblems {
		f.found = append(f.found, p)
	}
}

// full reports that further stops would not be listed, so that there is no need
// to look for them.
func (f *finder) full() bool { return f.counts[SeverityStop] > maxProblems }

// problems returns what was found, sorted, with a last line for what was not
// listed.
func (f *finder) problems() Problems {
	for severity, n := range f.counts {
		if n <= maxProblems {
			continue
		}
		f.found = append(f.found, Problem{
			Severity: Severity(severity),
			Code:     CodeMore,
			Found:    fmt.Sprintf("more than %d problems of severity %s; the rest are not listed", maxProblems, Severity(severity)),
		})
	}
	sortProblems(f.found)
	return f.found
}

// nearest returns the candidate that word was most likely meant to be, or ""
// when none is close: more than a third of its letters would have to change.
// A name without its end, such as distance for distance_m, is close.
func nearest(word string, candidates []string) string {
	word = foldName(word)
	best, bestAt := "", 1+max(1, utf8.RuneCountInString(word)/3)
	for _, c := range candidates {
		folded := foldName(c)
		d := editDistance(word, folded, bestAt)
		if len(word) >= 3 && strings.HasPrefix(folded, word) {
			d = min(d, 1)
		}
		if d < bestAt {
			best, bestAt = c, d
		}
	}
	return best
}

// foldName drops what people vary without noticing: case, blanks and dashes.
func foldName(s string) string {
	return strings.NewReplacer(" ", "_", "-", "_").Replace(strings.ToLower(Shorten(s, quoteLimit)))
}

// editDistance counts the letters to change, add, drop or swap with their
// neighbour to turn a into b (optimal string alignment), up to limit.
func editDistance(a, b string, limit int) int {
	ra, rb := []rune(a), []rune(b)
	if len(ra)-len(rb) >= limit || len(rb)-len(ra) >= limit {
		return limit
	}
	older, old, row := make([]int, len(rb)+1), make([]int, len(rb)+1), make([]int, len(rb)+1)
	for j := range row {
		row[j] = j
	}
	for i := 1; i <= len(ra); i++ {
		older, old, row = old, row, older
		row[0] = i
		for j := 1; j <= len(rb); j++ {
			change := old[j-1]
			if ra[i-1] != rb[j-1] {
				change++
			}
			row[j] = min(change, old[j]+1, row[j-1]+1)
			if i > 1 && j > 1 && ra[i-1] == rb[j-2] && ra[i-2] == rb[j-1] {
				row[j] = min(row[j], older[j-2]+1)
			}
		}
	}
	return min(row[len(rb)], limit)
}

// DidYouMean returns the end of a message that proposes the nearest of the
// candidates, empty when none is near.
func DidYouMean(word string, candidates []string) string {
	if n := nearest(word, candidates); n != "" {
		return "; did you mean " + Quote(n) + "?"
	}
	return ""
}
