package sheet

import (
	_ "embed"
	"html/template"
	"io"

	"drylane/show/page"
)

//go:embed page.html
var pageHTML string

var pageTemplate = page.New(pageHTML, template.FuncMap{"at": at, "whole": whole})

// WriteHTML writes the sheets as one page that needs no other file, has no
// scripts and prints each position on paper of its own.
func WriteHTML(w io.Writer, title string, sheets []*Sheet) error {
	return pageTemplate.Execute(w, struct {
		Title      string
		Sheets     []*Sheet
		FirstOfAll string
	}{title, sheets, FirstOfAll})
}

// whole reports whether a text is short enough to stand on one line in a narrow
// column.
func whole(s string) bool { return len([]rune(s)) <= 12 }
