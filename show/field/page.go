package field

import (
	_ "embed"
	"fmt"
	"html/template"
	"io"
	"math"

	"drylane/show/page"
)

//go:embed page.html
var pageHTML string

var pageTemplate = page.New(pageHTML, template.FuncMap{
	"label": Label,
	"ms":    msWords,
})

// WriteHTML writes the field as one page that needs no other file, has no
// scripts and prints.
func (f *Field) WriteHTML(w io.Writer) error {
	return pageTemplate.Execute(w, struct {
		*Field
		Plan Drawing
		Care string
	}{f, f.drawing(), Care})
}

// A Drawing is the plan as the page draws it.
type Drawing struct {
	Width, Height int
	Rings         []Ring
	Marks         []Drawn
}

// A Ring is a distance from the main audience.
type Ring struct {
	X, Y, R, Top float64
	Text         string
}

// A Drawn is one mark: Kind is position, speaker or audience.
type Drawn struct {
	X, Y        float64
	Kind, Label string
	Name        string
	Left        bool // the name stands to the left, as there is no room on the right
}

// The drawing board, in its own units.
const (
	boardWidth  = 900
	boardMargin = 60
	boardMost   = 700 // height
)

func (f *Field) drawing() Drawing {
	lo, hi := f.bounds()
	scale := min((boardWidth-2*boardMargin)/(hi.X-lo.X), (boardMost-2*boardMargin)/(hi.Y-lo.Y))
	left := (boardWidth - scale*(hi.X-lo.X)) / 2
	place := func(p Place) (x, y float64) {
		return left + scale*(p.X-lo.X), boardMargin + scale*(hi.Y-p.Y)
	}
	d := Drawing{Width: boardWidth, Height: int(2*boardMargin + scale*(hi.Y-lo.Y))}
	add := func(kind, label string, m Mark) {
		x, y := place(m.Place)
		left := x > boardWidth*3/4
		switch {
		case kind == "speaker" && math.Abs(x-boardWidth/2) < boardWidth/4: // often a pair about the middle
			left = m.X < 0
		case kind != "position": // named in large type where the window is narrow: there is half the board for it
			left = x > boardWidth/2
		}
		d.Marks = append(d.Marks, Drawn{x, y, kind, label, page.Fit(m.Name, 24), left})
	}
	for i, p := range f.Positions {
		add("position", Label(i), p)
	}
	for _, s := range f.Speakers {
		add("speaker", "", s)
	}
	for _, a := range f.audienceMarks() {
		add("audience", "", a)
	}
	x, y := place(Place{})
	step := ringStep(hi.Y)
	for r := step; r <= hi.Y && len(d.Rings) < 12; r += step {
		d.Rings = append(d.Rings, Ring{x, y, scale * r, y - scale*r, fmt.Sprintf("%.0f m", r)})
	}
	return d
}

// ringStep is a round distance of which about four reach as far as metres.
func ringStep(metres float64) float64 {
	step := 5000.0
	for _, s := range [...]float64{10, 20, 50, 100, 200, 500, 1000, 2000} {
		if metres/s <= 5 {
			return s
		}
	}
	return step
}
