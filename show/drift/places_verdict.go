package drift

import (
	"fmt"
	"strings"

	"drylane/show/words"
)

// How sure it must be that places disagree before it is told, and that the others agree
// before one of them is named as the one that does not.
const (
	apartChance = 0.01
	agreeChance = 0.10
)

// judge finds the verdict.
func (j *Places) judge(list []*site) {
	e := j.Show
	v := Verdict{Nudge: toStep(e.Offset), Others: neighbours(e)}
	switch {
	case len(list) == 0:
		v = Verdict{Code: TooFew}
	case j.Chance < apartChance:
		v = Verdict{Code: PlacesApart}
		if s := odd(list); s != nil {
			v.Lane = s.Name
		}
	default:
		v = v.of(e)
	}
	v.Text = j.text(v, list)
	j.Verdict = v
}

// odd is the one place without which the others agree; nil where it is none, or any of
// several.
func odd(list []*site) *site {
	if len(list) < 3 {
		return nil
	}
	var found *site
	for _, s := range list {
		switch chance := poolSites(list, s).chance; {
		case chance >= agreeChance && found != nil, chance >= apartChance && chance < agreeChance:
			return nil
		case chance >= agreeChance:
			found = s
		}
	}
	return found
}

// text writes the verdict's text.
func (j *Places) text(v Verdict, list []*site) string {
	e := j.Show
	switch v.Code {
	case TooFew:
		return "cannot tell: no listener at a known place has tapped enough"
	case PlacesApart:
		return j.apartText(v, list)
	case TooWide:
		return fmt.Sprintf("cannot tell yet %s: %s", j.whom, j.between())
	case InSpread:
		return fmt.Sprintf("no nudge %s: what is not known is larger than the shift (%s)", j.whom, j.between())
	case InPlace:
		return fmt.Sprintf("no nudge %s: the cues are %s there (%s)", j.whom, words.Late(e.Offset), j.between()) + andOthers(v)
	}
	return fmt.Sprintf("suggest %s %s: the cues are %s there (%s)", words.Nudge(v.Nudge), j.whom, words.Late(e.Offset), j.between()) + andOthers(v)
}

// between says from how much it was found, and between which bounds.
func (j *Places) between() string {
	return words.Count(len(j.Places), "place") + ", " + between(j.Show)
}

// apartText says which places disagree, and by how much.
func (j *Places) apartText(v Verdict, list []*site) string {
	const look = "look at where they stand and at the delays of the speakers"
	for _, s := range list {
		if s.Name == v.Lane && v.Lane != "" {
			return fmt.Sprintf("cannot tell: by %s the cues are %s than by the other places, more than sound explains: look at where that is and at the delays of the speakers",
				s.Name, apartBy(s.all.value-poolSites(list, s).mean))
		}
	}
	least, most := list[0], list[0]
	var names []string
	for _, s := range list {
		if s.all.value < least.all.value {
			least = s
		}
		if s.all.value > most.all.value {
			most = s
		}
		names = append(names, s.Name)
	}
	if len(list) > 2 {
		return fmt.Sprintf("cannot tell: the places disagree by up to %.2f s, more than sound explains (%s): %s",
			most.all.value-least.all.value, strings.Join(names, ", "), look)
	}
	return fmt.Sprintf("cannot tell: by %s the cues are %s than by %s, more than sound explains: %s",
		most.Name, apartBy(most.all.value-least.all.value), least.Name, look)
}

// apartBy is how much later or earlier than another one lies, in seconds.
func apartBy(d float64) string {
	if d < 0 {
		return fmt.Sprintf("%.2f s earlier", -d)
	}
	return fmt.Sprintf("%.2f s later", d)
}

// Why says why a listener's taps are not joined with the others'; empty where they are.
func (h *Heard) Why() string {
	switch {
	case h.Counts:
		return ""
	case h.Place == "":
		return "no place was told"
	case !h.Placed:
		return "when the music comes there is not known"
	}
	return h.Report.Verdict.Text
}

// Short is the verdict in few words, for a row of a console.
func (j *Places) Short() string {
	at := " (" + words.Count(len(j.Places), "place") + ")"
	switch v := j.Verdict; v.Code {
	case TooFew:
		return "listeners: cannot tell, too few taps at known places"
	case PlacesApart:
		return "listeners: cannot tell, the places disagree" + at
	case TooWide:
		return "listeners: cannot tell yet" + at
	case InPlace, InSpread:
		return "listeners: no nudge " + j.whom + at
	default:
		return "listeners: " + words.Nudge(v.Nudge) + " " + j.whom + at
	}
}
