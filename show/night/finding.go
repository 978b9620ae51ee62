package night

import (
	"fmt"
	"slices"
	"strings"

	"drylane/show"
	"drylane/show/check"
	"drylane/show/words"
)

// maxFindings is how many conflicts of one code are told.
const maxFindings = 20

// Findings words the conflicts of a night, the gravest first; a line says how
// many more there are of a code.
func (n Night) Findings(conflicts []Conflict) check.Findings {
	names := n.Names()
	counts := map[string]int{}
	var found, more check.Findings
	for _, c := range conflicts {
		if counts[c.Code]++; counts[c.Code] <= maxFindings {
			found = append(found, c.finding(names))
		}
	}
	for _, code := range []string{CodePin, CodePlayerFile, CodePlayer} {
		if left := counts[code] - maxFindings; left > 0 {
			severity := show.SeverityWarn
			if code == CodePin {
				severity = show.SeverityStop
			}
			more = append(more, check.Finding{
				Severity: severity, Code: CodeMore,
				Found: fmt.Sprintf("%d more findings %q are not listed", left, code),
				Do:    "put the listed ones right, then check again",
			})
		}
	}
	return found.With(more)
}

// Summary counts what was found between the shows. It says nothing of arming unless
// something forbids it: what is wrong with a show of its own is not in it.
func Summary(found check.Findings) string {
	if len(found.Stops()) > 0 {
		return found.Summary()
	}
	return found.Counted() + ": no pin is used by two shows"
}

// Names names each show for people: by its title, and by its folder too where
// two have the same. They are safe to print.
func (n Night) Names() []string {
	names, titles := make([]string, len(n)), map[string]int{}
	for i, e := range n {
		names[i] = short(e.Show.Title)
		titles[names[i]]++
	}
	for i, e := range n {
		if titles[names[i]] > 1 || names[i] == "" {
			names[i] = strings.TrimSpace(names[i] + " (" + short(e.Folder) + ")")
		}
	}
	return names
}

// finding words a conflict.
func (c Conflict) finding(names []string) check.Finding {
	var shows []string
	for _, i := range c.Shows {
		shows = append(shows, names[i])
	}
	f := check.Finding{Severity: c.Severity, Code: c.Code}
	switch c.Code {
	case CodePin:
		f.Place = "module " + short(c.Module)
		f.Found = pinWords(c.Pins) + " used by " + words.List(shows)
		f.Do = "give each show pins of its own; if the field is loaded anew in between, check the shows one by one"
	case CodePlayerFile:
		f.Place = "player " + short(c.Player)
		f.Found = "it is to play other sound under the same name from show to show: " + c.fileWords(shows)
		f.Do = "rename the files, so that no show can get another's and both fit on one medium"
	default:
		f.Place = "player " + short(c.Player)
		f.Found = "it is to play another file from show to show: " + c.fileWords(shows)
		f.Do = "plan who changes the file between the shows, or take another player"
	}
	return f
}

// fileWords says what the player carries in each show.
func (c Conflict) fileWords(shows []string) string {
	var words []string
	for k, s := range shows {
		words = append(words, fmt.Sprintf("%s for %s", short(c.Files[k]), s))
	}
	return strings.Join(words, ", ")
}

// pinWords lists ascending pins, runs of them as first to last, with the verb.
func pinWords(pins []int) string {
	const most = 12
	var words []string
	for i := 0; i < len(pins); {
		j := i
		for j+1 < len(pins) && pins[j+1] == pins[j]+1 {
			j++
		}
		switch {
		case len(words) == most:
			return fmt.Sprintf("pins %s and %d more are", strings.Join(words, ", "), len(pins)-i)
		case j > i+1:
			words = append(words, fmt.Sprintf("%d to %d", pins[i], pins[j]))
		default:
			j = i
			words = append(words, fmt.Sprint(pins[i]))
		}
		i = j + 1
	}
	if len(pins) == 1 {
		return "pin " + words[0] + " is"
	}
	return "pins " + strings.Join(words, ", ") + " are"
}

// short is a text cleaned and cut to what a finding repeats of it.
func short(s string) string { return show.Shorten(s, 60) }

// Stops words, a line each, what forbids arming one of the shows.
func (n Night) Stops(conflicts []Conflict, i int) []string {
	var lines []string
	var mine []Conflict
	for _, c := range conflicts {
		if c.Severity == show.SeverityStop && slices.Contains(c.Shows, i) {
			mine = append(mine, c)
		}
	}
	for _, f := range n.Findings(mine) {
		lines = append(lines, f.String())
	}
	return lines
}
