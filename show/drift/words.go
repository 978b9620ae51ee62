package drift

import (
	"cmp"
	"fmt"
	"strings"
	"time"

	"drylane/show/words"
)

// What people notice between sound and picture (detectability thresholds of
// ITU-R BT.1359-1, 1998, found for speech): a cue that is late against the
// sound sooner than one that is early.
const (
	NoticedLate  = 45 * time.Millisecond
	NoticedEarly = 125 * time.Millisecond
)

// Noticed reports whether an audience would notice cues off by d, positive late.
func Noticed(d time.Duration) bool { return d > NoticedLate || d < -NoticedEarly }

// verdictText writes the verdict's text.
func verdictText(v Verdict, rep Report, apart *apartLane) string {
	e := rep.Show
	switch v.Code {
	case TooFew:
		return "too few taps: " + more(v.More)
	case NoFit:
		return fmt.Sprintf("the taps do not fit the cue list, %d of %d meet a cue: is this the right soundtrack, at the right speed?", len(rep.Pairs), len(rep.Pairs)+len(rep.LooseTaps))
	case RateWrong:
		return rateWords(rep.Rate)
	case LaneApart:
		return laneWords(v, *apart)
	case Ambiguous:
		return fmt.Sprintf("ambiguous: %s fits, but so does %s; tap accents that stand alone", choice(v.Nudge), list(v.Others))
	case TooWide:
		return fmt.Sprintf("too few taps for this much spread (%.2f s): about %s", e.Spread.Seconds(), more(v.More))
	case InPlace:
		return "no nudge: " + placeWords(e) + andOthers(v)
	case InSpread:
		return fmt.Sprintf("no nudge: the spread is larger than the shift (%s)", between(e))
	}
	text := fmt.Sprintf("suggest %s: the cues are %s (%s)", words.Nudge(v.Nudge), words.Late(e.Offset), between(e))
	if !Noticed(e.Offset) {
		text += "; few would notice"
	}
	return text + andOthers(v)
}

func more(n int) string {
	if n == 1 {
		return "1 more"
	}
	return fmt.Sprintf("%d more", n)
}

func placeWords(e Estimate) string {
	if w := words.Late(e.Offset); w != "on the music" {
		return fmt.Sprintf("the cues are %s (%s)", w, between(e))
	}
	return fmt.Sprintf("the cues are on the music (%s)", between(e))
}

func between(e Estimate) string {
	return fmt.Sprintf("%s, between %s and %s", words.Count(e.N, "tap"), words.Late(e.Low), words.Late(e.High))
}

// andOthers names the neighbouring nudges that are possible too.
func andOthers(v Verdict) string {
	if len(v.Others) == 0 {
		return ""
	}
	return "; between tenths: " + list(v.Others) + " is possible too"
}

// list names the first few nudges.
func list(nudges []time.Duration) string {
	const few = 3
	var w []string
	for _, n := range nudges[:min(len(nudges), few)] {
		w = append(w, choice(n))
	}
	return strings.Join(w, " or ")
}

// choice names a nudge as something to do.
func choice(nudge time.Duration) string {
	if nudge == 0 {
		return "leaving the cues alone"
	}
	return words.Nudge(nudge)
}

func rateWords(r Rate) string {
	per, how := r.PerMinute(), "later and later"
	if per < 0 {
		per, how = -per, "earlier and earlier"
	}
	return fmt.Sprintf("the error grows by %.0f ms a minute, the cues come %s: %s; no one nudge is right for it", per, how, looksLike(r))
}

func laneWords(v Verdict, l apartLane) string {
	what := fmt.Sprintf("%s %.1f s %s", cmp.Or(l.Name, "one position"), l.Shift.Abs().Seconds(), words.Side(l.Shift))
	if v.Nudge == 0 {
		return what + ": look at its prefires; the rest is on the music"
	}
	return fmt.Sprintf("suggest %s for the show; %s beyond that: look at its prefires%s", words.Nudge(v.Nudge), what, andOthers(v))
}
