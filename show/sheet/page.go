package sheet

import (
	_ "embed"
	"html/template"
	"io"
)

//go:embed page.html
var pageHTML string

var pageTemplate = template.Must(template.New("sheets").Funcs(template.FuncMap{"at": at}).Parse(pageHTML))

// WriteHTML writes the sheets as one page that needs no other file, has no
// scripts and prints each position on paper of its own.
func WriteHTML(w io.Writer, title string, sheets []*Sheet) error {
	return pageTemplate.Execute(w, struct {
		Title      string
		Sheets     []*Sheet
		FirstOfAll string
	}{title, sheets, FirstOfAll})
}
