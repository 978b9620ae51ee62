package main

import (
	"errors"
	"fmt"
	"io"
	"slices"
	"strings"

	"drylane/playback/folder"
	"drylane/show"
	"drylane/show/sheet"
)

type printCmd struct {
	Dir      string `arg:"" help:"The show folder." placeholder:"DIR"`
	Position string `placeholder:"NAME" help:"Only the sheet of this position."`
	HTML     string `placeholder:"OUT" help:"Write the sheets as one page of HTML, a position on each sheet of paper."`
	Phrases  string `placeholder:"OUT" help:"Write the phrases of the calls, in the show's language, to be changed."`
	replaceFlag
}

func (printCmd) Help() string {
	return "Crew sheets: for each position its cues in firing order, modules and pins, the calls that a hand-fired one hears, and the words for hold and cut. The words of the operator in charge come first.\n\nCalls are in English, or in the language = \"de\" of [calls] in show.toml: one of " + strings.Join(show.Languages, ", ") + ". Where a crew says it otherwise: --phrases shows/harbour/calls.toml, change that file, and name it with phrases = \"calls.toml\".\n\nExample:\n\n  drylane print shows/harbour --html sheets.html"
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
	phrases, err := w.Take("--phrases", c.Phrases)
	if err != nil {
		return err
	}
	err = phrases.Write(func(w io.Writer) error {
		_, err := w.Write(show.LanguageFile(s.Calls.Language))
		return err
	})
	if err != nil || phrases != nil && html == nil {
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
