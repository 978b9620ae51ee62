package screen

import "slices"

// A Look is how a screen is drawn.
type Look struct {
	Theme  *Theme
	Themes func(name string) *Theme // for the theme key; nil: it does nothing
	ASCII  bool                     // draw with ASCII characters only
}

// NextTheme takes the theme after the one that is shown.
func (l *Look) NextTheme() {
	if l.Themes != nil {
		l.Theme = l.Themes(ThemeNames[(slices.Index(ThemeNames, l.Theme.Name)+1)%len(ThemeNames)])
	}
}
