package hear

import (
	"fmt"
	"math"
	"strings"
	"time"

	"drylane/show"
	"drylane/show/drift"
	"drylane/show/timebase"
	"drylane/show/words"
)

// A Code says what a verdict is about, for programs. They are those of a review where
// it is the same.
type Code string

// The codes of a verdict.
const (
	TooFew        Code = "too-few"  // bangs that tell anything
	InPlace       Code = "in-place" // the list is on the music
	Shifted       Code = "shifted"
	Unclear       Code = "unclear" // on the music, or a little off it
	PositionApart Code = "position-apart"
	SizeApart     Code = "size-apart"
	SectionApart  Code = "section-apart"
	Drifts        Code = "drifts"
	NobodyListed  Code = "unlisted"
	NotAllHeard   Code = "not-heard"
	MusicUnplaced Code = "no-speaker"
	Disagrees     Code = "disagrees" // a recording with the first
	OfRehearsal   Code = "rehearsal" // the bangs are drylane's own
)

// A Verdict is one thing to know. What it is about is set, the rest zero.
type Verdict struct {
	Code     Code
	Text     string
	Late     time.Duration
	Position string
	From, To time.Duration
	Caliber  string
}

// Fact reports whether the verdict says where something is.
func (v Verdict) Fact() bool {
	switch v.Code {
	case InPlace, Shifted, PositionApart, SizeApart, SectionApart, Drifts, NobodyListed:
		return true
	}
	return false
}

func (h *hearing) verdicts(rep *Report) []Verdict {
	var out []Verdict
	apart := false
	for _, p := range rep.Positions {
		if p.Apart {
			apart = true
			out = append(out, positionVerdict(rep, p))
		}
	}
	for _, s := range rep.Sizes {
		if s.Apart {
			apart = true
			out = append(out, Verdict{Code: SizeApart, Caliber: s.Name, Late: s.Late,
				Text: fmt.Sprintf("shells of %s are %s: look at their prefires", s.Name, s.words())})
		}
	}
	if !rep.Show.Told {
		return append(out, Verdict{Code: TooFew, Text: tooFewWords(rep)})
	}
	out = append(out, showVerdict(rep, apart))
	if rep.Rate.Grows {
		out = append(out, rateVerdict(rep.Rate))
	}
	for _, s := range rep.Stretches {
		if s.Apart {
			out = append(out, Verdict{Code: SectionApart, From: s.From, To: s.To, Late: s.Late,
				Text: fmt.Sprintf("from %s to %s the list is %s", clock(s.From), clock(s.To), s.words())})
		}
	}
	return append(out, loose(rep)...)
}

// loose tells of bangs without a cue, and of cues without a bang.
func loose(rep *Report) []Verdict {
	var out []Verdict
	for _, u := range rep.Unlisted {
		out = append(out, Verdict{Code: NobodyListed, From: u.Music, To: u.Music,
			Text: fmt.Sprintf("at %s a bang that nobody listed", timebase.ClockTenths(u.Music.Round(100*time.Millisecond)))})
	}
	var ids []string
	for _, c := range rep.Cues {
		if c.State == NotHeard {
			ids = append(ids, show.Clean(c.ID))
		}
	}
	if len(ids) > 0 {
		out = append(out, Verdict{Code: NotAllHeard,
			Text: fmt.Sprintf("%s not heard, which does not say that they failed: %s", words.Count(len(ids), "cue"), idWords(ids))})
	}
	return out
}

// idWords lists cues, the first ones where there are many.
func idWords(ids []string) string {
	const few = 12
	if len(ids) > few {
		return strings.Join(ids[:few], ", ") + fmt.Sprintf(" and %d more", len(ids)-few)
	}
	return words.List(ids)
}

// positionVerdict tells a position that stands apart: by how much it was late, or by how
// much later than the rest where nobody knows how late that was.
func positionVerdict(rep *Report, p Group) Verdict {
	v := Verdict{Code: PositionApart, Position: p.Name, Late: p.Late, Text: fmt.Sprintf("position %s is %s", show.Clean(p.Name), p.words())}
	if rep.NoSpeaker {
		v.Late -= rep.Show.Late
		v.Text = fmt.Sprintf("position %s is %s beside the rest", show.Clean(p.Name), words.Late(v.Late))
	}
	return v
}

func showVerdict(rep *Report, apart bool) Verdict {
	e, what := rep.Show, "whole list"
	if apart {
		what = "rest of the list"
	}
	is := "is"
	if rep.Rate.Grows {
		is = "is in the middle"
	}
	if rep.NoSpeaker {
		way := "less 3 ms"
		if e.Late < 5*time.Millisecond {
			way = "and 3 ms earlier"
		}
		return Verdict{Code: MusicUnplaced, Text: fmt.Sprintf("the %s %s %s, %s for each metre from the loudspeakers to the microphone; [[speaker]] of show.toml says how far that is", what, is, words.Late(e.Late), way)}
	}
	heard := fmt.Sprintf("%d of %s heard", e.Heard, words.Count(e.Cues, "bang"))
	if !drift.Noticed(e.Late) && e.Low < drift.NoticedLate && e.Late.Abs() <= drift.NoticedLate {
		return Verdict{Code: InPlace, Late: e.Late, Text: fmt.Sprintf("the %s %s on the music (%s): %s", what, is, words.LateMS(e.Late, "to the millisecond"), heard)}
	}
	if e.Low <= drift.NoticedLate/2 && e.High >= -drift.NoticedLate/2 {
		return Verdict{Code: Unclear, Text: fmt.Sprintf("cannot tell whether the %s was on the music: it %s %s: %s", what, is, e.words(), heard)}
	}
	return Verdict{Code: Shifted, Late: e.Late, Text: fmt.Sprintf("the %s %s %s: %s", what, is, e.words(), heard)}
}

func tooFewWords(rep *Report) string {
	e := rep.Show
	if e.Cues == 0 {
		return "cannot tell: no cue that was due while recorded makes a bang at a position whose distance show.toml gives"
	}
	return fmt.Sprintf("cannot tell how late the list was: too few bangs stand out, %d of the %d that were due", e.Heard, e.Cues)
}

// words is how late, with the bounds.
func (e Estimate) words() string {
	return fmt.Sprintf("%s (%s to %s)", words.Late(e.Late), bound(e.Low), bound(e.High))
}

// bound is a bound of an interval, with its sign: positive is late.
func bound(d time.Duration) string {
	return fmt.Sprintf("%+.2f", math.Round(d.Seconds()*100)/100)
}

func rateVerdict(rate Rate) Verdict {
	per, how := rate.Slope*60e3, "later"
	if per < 0 {
		per, how = -per, "earlier"
	}
	return Verdict{Code: Drifts, Text: fmt.Sprintf("the list drifts %.1f ms a minute, %s and %s: no one shift is right for it", per, how, how)}
}
