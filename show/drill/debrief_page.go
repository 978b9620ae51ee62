package drill

import (
	_ "embed"
	"fmt"
	"html/template"
	"io"
	"time"

	"drylane/show/page"
)

// A Page is the debrief of one or more runs of drills.
type Page struct {
	Results []*Result
	Made    time.Time
}

//go:embed debrief.html
var debriefHTML string

var debriefTemplate = page.New(debriefHTML, template.FuncMap{
	"clock": clock,
	"secs":  func(d time.Duration) string { return seconds(d).text() },
})

// WriteHTML writes the page: one file that needs no other, has no scripts,
// prints, and reads on a telephone.
func (p Page) WriteHTML(w io.Writer) error {
	title := "nothing"
	switch n := len(p.Results); {
	case n == 1:
		title = p.Results[0].Title
	case n > 1:
		title = fmt.Sprintf("%d drills", n)
	}
	return debriefTemplate.Execute(w, struct {
		Page
		Title, Caution string
	}{p, title, Caution})
}

// Count is how many lines have the grade.
func (res *Result) Count(g Grade) int {
	n := 0
	for _, l := range res.Lines {
		if l.Grade == g {
			n++
		}
	}
	return n
}

// Told are the moments that are listed, and MoreMoments how many are not.
func (res *Result) Told() []Moment { return res.Moments[:min(len(res.Moments), maxMoments)] }

// MoreMoments is how many moments Told leaves out.
func (res *Result) MoreMoments() int { return max(0, len(res.Moments)-maxMoments) }
