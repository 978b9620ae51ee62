package report

import (
	_ "embed"
	"html/template"
)

//go:embed style.html
var styleHTML string

// Styled makes the template of a page in the style of the debrief: one file
// that needs no other, has no scripts, prints, and reads on a telephone. The
// page uses the templates "head", in its head, and "care", at its foot. Styled
// panics when page does not parse.
func Styled(page string, funcs template.FuncMap) *template.Template {
	t := template.Must(template.New("page").Funcs(funcs).Parse(styleHTML))
	return template.Must(t.Parse(page))
}
