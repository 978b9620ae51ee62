package main

import (
	"errors"
	"fmt"
	"io"
	"slices"

	"drylane/playback/folder"
	"drylane/show"
	"drylane/show/sheet"
)

type printCmd struct {
	Dir      string `arg:"" help:"The show folder." placeholder:"DIR"`
	Position string `placeholder:"NAME" help:"Only the sheet of this position."`
	HTML     string `placeholder:"OUT" help:"Write the sheets as one page of HTML, a position on each sheet of paper."`
	replaceFlag
}

func (printCmd) Help() string {
	return "Crew sheets: for each position its cues in firing order, modules and pins, the calls that a hand-fired one hears, and the words for hold and cut. The words of the operator in charge come first.\n\nExample:\n\n  drylane print shows/harbour --html sheets.html"
}

func (c printCmd) Run(e *env) error {
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
	sheets := sheet.For(s)
	if c.Position != "" {
		sheets = slices.DeleteFunc(sheets, func(sh *sheet.Sheet) bool { return sh.Position != show.Clean(c.Position) })
		if len(sheets) == 0 {
			return fmt.Errorf("--position: found no position %q in the show; wanted the name of one", show.Clean(c.Position))
		}
	}
	if len(sheets) == 0 {
		return errors.New("the show has no positions, so there is nothing to print")
	}
	if html != nil {
		return html.Write(func(w io.Writer) error { return sheet.WriteHTML(w, s.Title, sheets) })
	}
	return sheet.WriteText(e.out, sheets)
}
