// Package words holds the phrases that screens, pages and messages share: a
// nudge or a delay in words, counts of things and lists of names.
package words

import (
	"fmt"
	"strings"
	"time"
)

// Nudge says what a nudge does to the cues: "LATER 0.3 s", "EARLIER 1.0 s" or
// "NO NUDGE". A nudge is never shown by sign alone.
func Nudge(nudge time.Duration) string {
	tenths := (nudge.Abs() + 50*time.Millisecond) / (100 * time.Millisecond)
	if tenths == 0 {
		return "NO NUDGE"
	}
	return fmt.Sprintf("%s %d.%d s", Way(nudge), tenths/10, tenths%10)
}

// Shift writes a shift of cues to the millisecond: "EARLIER 0.300 s".
func Shift(earlier time.Duration) string {
	return fmt.Sprintf("%s %.3f s", Way(earlier), earlier.Abs().Seconds())
}

// Way is which way a shift, positive for earlier, moves the cues.
func Way(earlier time.Duration) string {
	if earlier < 0 {
		return "LATER"
	}
	return "EARLIER"
}

// Late writes what taps or accents tell of the cues, in hundredths of a
// second: "0.31 s late", "0.02 s early", "on the music".
func Late(d time.Duration) string {
	s := fmt.Sprintf("%.2f s", d.Abs().Seconds())
	if s == "0.00 s" {
		return "on the music"
	}
	return s + " " + Side(d)
}

// Side is late, or early for a time below 0.
func Side(d time.Duration) string {
	if d < 0 {
		return "early"
	}
	return "late"
}

// LateMS writes a delay in whole milliseconds: "12 ms late", "3 ms early".
// Where none is left it says none.
func LateMS(d time.Duration, none string) string { return OffMS(d, "late", "early", none) }

// OffMS writes a difference in whole milliseconds and which way it goes, plus
// for one above 0; none where nothing is left of it.
func OffMS(d time.Duration, plus, minus, none string) string {
	switch ms := d.Round(time.Millisecond).Milliseconds(); {
	case ms > 0:
		return fmt.Sprintf("%d ms %s", ms, plus)
	case ms < 0:
		return fmt.Sprintf("%d ms %s", -ms, minus)
	}
	return none
}

// Count writes a number of things: "1 cue", "3 cues". what is the word for one.
func Count(n int, what string) string {
	if n == 1 {
		return "1 " + what
	}
	return fmt.Sprintf("%d %s", n, Plural(what))
}

// Plural is the word for several of what a regular word names.
func Plural(what string) string {
	for _, end := range [...]string{"s", "x", "ch", "sh"} {
		if strings.HasSuffix(what, end) {
			return what + "es"
		}
	}
	return what + "s"
}

// Times writes how often: once, twice, 3 times.
func Times(n int) string {
	switch n {
	case 1:
		return "once"
	case 2:
		return "twice"
	}
	return fmt.Sprintf("%d times", n)
}

// List joins names as a sentence does: "a, b and c".
func List(names []string) string { return listed(names, " and ") }

// Or joins what can be chosen from: "a, b or c".
func Or(names []string) string { return listed(names, " or ") }

func listed(names []string, link string) string {
	if len(names) < 2 {
		return strings.Join(names, "")
	}
	last := len(names) - 1
	return strings.Join(names[:last], ", ") + link + names[last]
}

// Range names n things that stand in a row from first to last: "cue 98", "cues 98 and
// 99", "cues 98 to 101". what is the word for one.
func Range(what string, n int, first, last string) string {
	switch n {
	case 1:
		return what + " " + first
	case 2:
		return Plural(what) + " " + first + " and " + last
	}
	return Plural(what) + " " + first + " to " + last
}

// Due says of the cues that were due when the show was held or cut what they are
// until somebody has looked; nothing of none.
func Due(cues []string) string {
	n := len(cues)
	if n == 0 {
		return ""
	}
	were := " were"
	if n == 1 {
		were = " was"
	}
	return Range("cue", n, cues[0], cues[n-1]) + were + " due: treat as live"
}

// WouldBeDue says what a nudge would do to n cues, from first to last.
func WouldBeDue(n int, first, last string) string {
	return fmt.Sprintf("%s would come due at once, %s", Count(n, "cue"), Range("cue", n, first, last))
}

// Salvo says what became of n cues, from first to last, that a nudge made due at once.
func Salvo(n int, first, last string, over time.Duration) string {
	return fmt.Sprintf("%s were spread over %.2f s: %s", Count(n, "cue"), over.Seconds(), Range("cue", n, first, last))
}

// LastUp says what was still up by the list when a show was made safe: how many effects,
// the cue of the one that clears last, and how many nobody knows the burn time of. What
// the list has out may burn all the same.
func LastUp(up, unknown int, cue string) string {
	var said []string
	if up > 0 {
		said = append(said, fmt.Sprintf("%d still up by the list, cue %s the last", up, cue))
	}
	if unknown > 0 {
		said = append(said, fmt.Sprintf("%d unknown", unknown))
	}
	if len(said) == 0 {
		return "nothing up by the list; ask the spotter"
	}
	return strings.Join(said, ", ")
}
