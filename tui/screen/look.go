package screen

import (
	"slices"
	"strings"

	"drylane/show"
	"drylane/show/ascii"
)

// A Look is how a screen is drawn.
type Look struct {
	Theme  *Theme
	Themes func(name string) *Theme // for the theme key; nil: it does nothing
	ASCII  bool                     // draw with ASCII characters only
	Names  *ascii.Names             // kept apart there; nil for none
}

// The narrowest columns that the names of a show stand in.
const (
	cueColumn   = 8
	groupColumn = 10
)

// NamesOf keeps apart what names the cues, positions and modules of a show.
func NamesOf(s *show.Show) *ascii.Names {
	var cues, positions, modules []string
	for _, p := range s.Positions {
		positions = append(positions, p.Name)
	}
	for _, c := range s.Cues {
		cues, positions, modules = append(cues, c.ID), append(positions, c.Position), append(modules, c.Module)
	}
	n := new(ascii.Names)
	n.Keep(cueColumn, cues)
	n.Keep(groupColumn, append(positions, modules...))
	return n
}

// arrowWords name the keys that are shown by an arrow: in ASCII that would be taken for
// another key.
var arrowWords = strings.NewReplacer("←", "left", "→", "right", "↑", "up", "↓", "down")

// Becomes is the arrow between two things of which the one becomes the other.
func (l Look) Becomes() string {
	if l.ASCII {
		return ">"
	}
	return "→"
}

// Shown is a text as it is drawn.
func (l Look) Shown(s string) string {
	if !l.ASCII || ascii.Is(s) {
		return s
	}
	s = arrowWords.Replace(s)
	s = strings.Map(func(r rune) rune {
		if b, ok := asciiFor[r]; ok {
			return rune(b)
		}
		return r
	}, s)
	if l.Names != nil {
		return l.Names.Text(s)
	}
	return ascii.Text(s)
}

// Width is how many columns a text takes as it is drawn.
func (l Look) Width(s string) int { return Width(l.Shown(s)) }

// Wrap breaks a text into lines of at most w columns as they are drawn.
func (l Look) Wrap(s string, w int) []string { return Wrap(l.Shown(s), w) }

// NextTheme takes the theme after the one that is shown.
func (l *Look) NextTheme() {
	if l.Themes != nil {
		l.Theme = l.Themes(ThemeNames[(slices.Index(ThemeNames, l.Theme.Name)+1)%len(ThemeNames)])
	}
}
