package drill

import (
	"slices"
	"strings"
	"time"

	"drylane/show"
)

// SafeWait is how long to wait after make safe before anybody goes in: the drill's, or
// that of the show it is run on.
func (d *Drill) SafeWait(s *show.Show) time.Duration {
	if d.Wait != nil {
		return *d.Wait
	}
	return s.MakeSafe.Wait
}

// InField are the names of who may be sent into the field: the drill's crew, or the
// show's.
func (d *Drill) InField(s *show.Show) []string {
	if len(d.Crew) > 0 {
		return d.Crew
	}
	return s.InField()
}

// asks reports whether somebody is on the drill's go / no-go list.
func (d *Drill) asks(who string) bool {
	return slices.ContainsFunc(d.Ready, func(a show.Ask) bool { return a.Who == who })
}

// checkAnswers notes steps that answer for somebody who is not on the list.
func checkAnswers(d *Drill, tables []*show.Table) {
	var names []string
	for _, a := range d.Ready {
		names = append(names, a.Who)
	}
	for i, s := range d.Steps {
		if (s.Do == Go || s.Do == NoGo || s.Wants == WantNoGo) && s.From != "" && !d.asks(s.From) {
			wanted := "a [[ready]] for it"
			if len(names) > 0 {
				wanted = "one of " + strings.Join(names, ", ") + show.DidYouMean(s.From, names)
			}
			tables[i].Note(show.CodeUnknown, "from", show.Quote(s.From), wanted)
		}
	}
}

// Answer is the answer that the deed gives on the radio; NoAnswer for any other.
func (d Deed) Answer() show.Answer {
	switch d {
	case Go:
		return show.AnswerGo
	case NoGo:
		return show.AnswerNoGo
	}
	return show.NoAnswer
}
