package main

import (
	"drylane/playback/folder"
	"drylane/show/field"

	"github.com/charmbracelet/x/term"
)

type fieldCmd struct {
	Dir  string `arg:"" help:"The show folder." placeholder:"DIR"`
	JSON bool   `help:"Print JSON." xor:"form"`
	HTML string `placeholder:"OUT" help:"Write it as one page of HTML." xor:"form"`
	replaceFlag
}

func (fieldCmd) Help() string {
	return "When music and bangs reach each place that people watch from, how far apart they come, and the one shift of all cues that serves the main audience best; a plan of the field; and separation by a rule of thumb, which is no permission. " +
		"Distances are those of show.toml: [[position]], [[speaker]], and [[audience]] for places other than the main audience.\n\nExample:\n\n  drylane field shows/harbour --html field.html"
}

func (c fieldCmd) Run(e *env) error {
	s, err := folder.Read(c.Dir)
	if err != nil {
		return err
	}
	w := c.writer(e)
	folder.Keep(w, c.Dir, s)
	html, err := w.Take("--html", c.HTML)
	if err != nil {
		return err
	}
	f := field.Of(s)
	switch {
	case c.JSON:
		return printJSON(e.out, f)
	case html != nil:
		return html.Write(f.WriteHTML)
	}
	return f.WriteText(e.out, e.width())
}

// width is how many columns the terminal has, or 80.
func (e *env) width() int {
	if f, ok := e.out.(term.File); ok {
		if w, _, err := term.GetSize(f.Fd()); err == nil && w > 0 {
			return w
		}
	}
	return 80
}
