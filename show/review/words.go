package review

import (
	"fmt"
	"time"

	"drylane/show/timebase"
	"drylane/show/words"
)

// A Code says what a verdict is about, for programs.
type Code string

// The codes of a verdict.
const (
	TooFewCues    Code = "too-few-cues"
	TooFewAccents Code = "too-few-accents"
	Unclear       Code = "unclear"   // no shift fits clearly better than the others
	Ambiguous     Code = "ambiguous" // shifts a period of the music apart fit alike
	InPlace       Code = "in-place"  // the list is on the music
	Shifted       Code = "shifted"   // the list is early or late
	// Out: the list is early or late, but which of some shifts it is is unclear.
	Out           Code = "out-of-place"
	PositionApart Code = "position-apart"
	// PositionUnclear: it is not where the rest is, but by how much is unclear.
	PositionUnclear Code = "position-unclear"
	SectionApart    Code = "section-apart"
	Drifts          Code = "drifts"
	Loose           Code = "loose" // cues in a row meet no accent
)

// A Verdict is one thing to know. What it is about is set, the rest zero.
type Verdict struct {
	Code        Code
	Text        string
	Shift       time.Duration
	Position    string
	From, To    time.Duration
	First, Last string // cues
}

func (r *review) verdicts(rep *Report) []Verdict {
	out := []Verdict{r.showVerdict(rep)}
	if rep.Rate.Grows {
		out = append(out, rateVerdict(rep.Rate))
	}
	if !rep.Show.told() && rep.Show.Moments >= fewest {
		return out
	}
	for _, p := range rep.Positions {
		if p.Apart {
			out = append(out, r.positionVerdict(p, rep.Show))
		}
	}
	for _, s := range rep.Sections {
		v := Verdict{From: s.From, To: s.To, Shift: s.Shift}
		switch {
		case s.Few:
			v.Code, v.Shift = TooFewAccents, 0
			v.Text = fmt.Sprintf("from %s to %s the music gives too few accents to tell", clock(s.From), clock(s.To))
		case s.Apart:
			v.Code = SectionApart
			v.Text = fmt.Sprintf("from %s to %s the list is %s", clock(s.From), clock(s.To), words.Late(s.Shift))
		default:
			continue
		}
		out = append(out, v)
	}
	for _, run := range looseRuns(rep.Cues) {
		out = append(out, r.looseVerdict(rep.Cues[run[0]:run[1]+1]))
	}
	return exceptionsFirst(out)
}

func (r *review) showVerdict(rep *Report) Verdict {
	f := rep.Show
	v := Verdict{Shift: f.Shift}
	switch {
	case f.Moments < fewest:
		v = Verdict{Code: TooFewCues, Text: fmt.Sprintf("too few cues to tell: found %d moments; wanted at least %d", f.Moments, fewest)}
	case len(r.music.Accents) < fewest:
		v = Verdict{Code: TooFewAccents, Text: fmt.Sprintf("the music gives too few accents to tell: %d", len(r.music.Accents))}
	case f.OutOfPlace() && !rep.Rate.Grows:
		v.Code, v.Text = Out, r.outWords(f, "the "+listWords(rep))
	case !f.told():
		v.Code, v.Text = Unclear, fmt.Sprintf("the music cannot tell where the list belongs; the best is %s, with %d of %d moments on an accent", words.Late(f.Shift), f.Met, f.Moments)
	case f.Ambiguous:
		v.Code, v.Text = Ambiguous, r.ambiguousWords(f, "the "+listWords(rep))
	case f.Shift.Abs() <= within:
		v.Code = InPlace
		v.Text = fmt.Sprintf("the list %s on the music (%s): %s", isWords(rep), words.LateMS(f.Shift, "to the millisecond"), f.metWords())
	default:
		v.Code = Shifted
		v.Text = fmt.Sprintf("the %s %s %s: %s then", listWords(rep), isWords(rep), words.Late(f.Shift), f.metWords())
	}
	return v
}

// listWords is what the show's fit was made of.
func listWords(rep *Report) string {
	for _, p := range rep.Positions {
		if p.Apart {
			return "rest of the list"
		}
	}
	return "whole list"
}

// positionVerdict tells a position that stands apart: by how much it is late, or by
// how much later than the rest where it is not known how late that is.
func (r *review) positionVerdict(p Position, show Fit) Verdict {
	v := Verdict{Code: PositionApart, Position: p.Name, Shift: p.Shift}
	late := words.Late(p.Shift)
	if show.Ambiguous && show.Shift.Abs() > within {
		late = words.Late(p.Shift-show.Shift) + " beside the rest"
	}
	if p.Found() {
		v.Text = fmt.Sprintf("position %s is %s", p.Name, late)
		return v
	}
	v.Code, v.Shift = PositionUnclear, 0
	v.Text = fmt.Sprintf("position %s does not fit where the rest does: %s%s", p.Name, late, r.rivalWords(p.Fit))
	return v
}

// isWords is "is", or how a list begins that is later and later.
func isWords(rep *Report) string {
	if rep.Rate.Grows {
		return "begins"
	}
	return "is"
}

func rateVerdict(rate Rate) Verdict {
	per, how := rate.PerMinute(), "later"
	if per < 0 {
		per, how = -per, "earlier"
	}
	return Verdict{Code: Drifts, From: rate.From,
		Text: fmt.Sprintf("from %s the list drifts %.1f ms a minute, %s and %s: no one shift is right for it", clock(rate.From), per.Seconds()*1e3, how, how)}
}

func (r *review) looseVerdict(cues []CueFit) Verdict {
	first, last := cues[0], cues[len(cues)-1]
	how := "meet no accent"
	if r.betweenBeats(cues) {
		how = "fall between beats"
	}
	return Verdict{Code: Loose, First: first.ID, Last: last.ID, From: first.At, To: last.At,
		Text: fmt.Sprintf("cues %s to %s %s (%s to %s)", first.ID, last.ID, how, clock(first.At), clock(last.At))}
}

// clock writes a moment to the second.
func clock(d time.Duration) string { return timebase.Clock(d.Round(time.Second)) }
