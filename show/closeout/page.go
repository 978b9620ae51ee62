package closeout

import (
	_ "embed"
	"io"
	"slices"

	"drylane/show/page"
)

//go:embed closeout.html
var closeoutHTML string

//go:embed search.html
var searchHTML string

var (
	closeoutTemplate = page.New(closeoutHTML, nil)
	searchTemplate   = page.New(searchHTML, nil)
)

// WriteHTML writes the record as one page that needs no other file, has no scripts,
// prints, and reads on a telephone.
func (r *Record) WriteHTML(w io.Writer) error { return closeoutTemplate.Execute(w, r.data()) }

// WriteSheet writes the sheet for the search: for each position the pins that are to be
// treated as live, those that were commanded, and boxes to tick.
func (r *Record) WriteSheet(w io.Writer) error { return searchTemplate.Execute(w, r.data()) }

// A part is one position of a page.
type part struct {
	Searched
	Live, Rest []Pin // by module and pin
}

type tallied struct {
	Name string
	Rows []Tally
}

type data struct {
	*Record
	States  []State
	Parts   []part
	Tallies []tallied
	Care    string
}

func (r *Record) data() data {
	d := data{Record: r, States: states, Care: Care}
	for _, s := range r.Searched {
		p := part{Searched: s}
		for _, pin := range r.Pins {
			switch {
			case pin.Position != s.Position:
			case pin.Live():
				p.Live = append(p.Live, pin)
			default:
				p.Rest = append(p.Rest, pin)
			}
		}
		slices.SortStableFunc(p.Live, byPlace)
		slices.SortStableFunc(p.Rest, byPlace)
		d.Parts = append(d.Parts, p)
	}
	for _, t := range tallies {
		d.Tallies = append(d.Tallies, tallied{t.Name, r.Tally(t.Of)})
	}
	return d
}
