// Package page is what all pages of HTML share: head, style, the box of caution
// at the foot, and the axes of their charts. A page is one file that needs no
// other, has no scripts, prints, and reads on a telephone.
package page

import (
	_ "embed"
	"html/template"
	"io"
	"sync"
	"time"

	"drylane/show"
	"drylane/show/words"
)

//go:embed style.html
var styleHTML string

// New makes the template of a page in the common style. The body begins with
//
//	{{template "head" TITLE}}
//
// goes on with a <style> of its own if it wants one, closes the head itself and
// ends its text with
//
//	{{template "care" SENTENCE}}
//
// where the sentence says what the page's figures come from. A table of the class
// stack, with its heads in a thead, shows each row as lines of its own where the
// window is narrow: there data-of of a cell says what it is. Charts use the
// templates "labels" and "rules" with Labels and Rules. Besides funcs a page has
// clean, count, day and add1. Execute panics when body does not parse.
func New(body string, funcs template.FuncMap) Template {
	return Template{sync.OnceValue(func() *template.Template {
		t := template.New("page").Funcs(template.FuncMap{
			"clean": show.Clean,
			"count": words.Count,
			"day":   func(t time.Time) string { return t.Format("2006-01-02 15:04") },
			"add1":  func(i int) int { return i + 1 },
		})
		t = template.Must(t.Funcs(funcs).Parse(styleHTML))
		return template.Must(t.Parse(body))
	})}
}

// A Template is a page yet to be filled in. It is parsed when it is first executed: most
// runs of the program write no page, and need not wait for all of them.
type Template struct{ parsed func() *template.Template }

// Execute writes the page with data.
func (t Template) Execute(w io.Writer, data any) error { return t.parsed().Execute(w, data) }

// Fit cuts a name to at most n characters, the last of them an ellipsis if some
// are left out.
func Fit(name string, n int) string {
	if r := []rune(name); len(r) > n {
		return string(r[:n-1]) + "…"
	}
	return name
}
