package review

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"time"

	"drylane/show/words"
)

// mostRivals is how many rivals are told; with more the music is said to tell
// nothing.
const mostRivals = 3

// told reports whether the fit and its few rivals together are to be believed.
func (f Fit) told() bool {
	sum, needed := f.Confidence, 0
	for _, v := range f.Rivals {
		if sum < Sure {
			needed++
		}
		sum += v.Chance
	}
	return sum >= Sure && needed <= mostRivals
}

// onBeat reports whether the list fits where it is, though it may fit elsewhere.
func (f Fit) onBeat() bool { return f.told() && f.Shift.Abs() <= within }

func (f Fit) metWords() string {
	return fmt.Sprintf("%d of %d moments meet an accent", f.Met, f.Moments)
}

// ambiguousWords tells a fit with its rivals.
func (r *review) ambiguousWords(f Fit, list string) string {
	if f.Shift.Abs() <= within {
		return fmt.Sprintf("%s fits the music where it is (%s), but not there alone: %s%s", list, words.LateMS(f.Shift, "to the millisecond"), f.metWords(), r.rivalWords(f))
	}
	return fmt.Sprintf("%s is %s or elsewhere, which the music does not tell: %s then%s", list, words.Late(f.Shift), f.metWords(), r.rivalWords(f))
}

// outWords tells a fit that is not in place, and where it may be.
func (r *review) outWords(f Fit, list string) string {
	places := words.Late(f.Shift)
	for _, v := range f.Rivals[:min(len(f.Rivals), mostRivals)] {
		if v.Shift.Abs() <= within {
			continue
		}
		how := "as good"
		if v.Better {
			how = "better by the music alone"
		}
		places += fmt.Sprintf(" or, %s, %s%s", how, words.Late(v.Shift), inBrackets(r.inBeats((v.Shift - f.Shift).Abs())))
	}
	if !f.told() {
		places += ", or elsewhere"
	}
	return fmt.Sprintf("%s is not in place: %s; %s at the first", list, places, f.metWords())
}

// inBrackets makes of ": one beat" what may follow a shift.
func inBrackets(beats string) string {
	if beats == "" {
		return ""
	}
	return " (" + strings.TrimPrefix(beats, ": ") + " from it)"
}

// rivalWords tells the likeliest rivals as moves from the shift.
func (r *review) rivalWords(f Fit) string {
	var b strings.Builder
	for _, v := range f.Rivals[:min(len(f.Rivals), mostRivals)] {
		d, way, how := v.Shift-f.Shift, "earlier", "as good"
		if d < 0 {
			d, way = -d, "later"
		}
		if v.Better {
			how = "better by the music alone"
		}
		fmt.Fprintf(&b, "; %s %.2f s %s%s", how, d.Seconds(), way, r.inBeats(d))
	}
	return b.String()
}

// inBeats tells a time in beats, if it is whole or half ones: ": two beats".
func (r *review) inBeats(d time.Duration) string {
	beat := r.beat()
	if beat == 0 {
		return ""
	}
	halves := math.Round(2 * float64(d) / float64(beat))
	if halves == 0 || math.Abs(float64(d)-halves*float64(beat)/2) > 0.06*float64(beat) {
		return ""
	}
	switch n := int(halves); {
	case n == 1:
		return ": half a beat"
	case n == 2:
		return ": one beat"
	case n == 3:
		return ": one and a half beats"
	case n%2 == 0:
		return fmt.Sprintf(": %s beats", numbers(n/2))
	default:
		return fmt.Sprintf(": %s and a half beats", numbers(n/2))
	}
}

// numbers writes a small number as a word.
func numbers(n int) string {
	in := [...]string{"no", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten"}
	if n < len(in) {
		return in[n]
	}
	return fmt.Sprint(n)
}

// beat is the time from beat to beat that is usual in the music, 0 without any.
func (e *Ear) beat() time.Duration {
	beats := e.music.Beats
	if len(beats) < 2 {
		return 0
	}
	gaps := make([]time.Duration, len(beats)-1)
	for i := range gaps {
		gaps[i] = beats[i+1] - beats[i]
	}
	slices.Sort(gaps)
	return gaps[len(gaps)/2]
}
