package hear

import (
	_ "embed"
	"fmt"
	"html/template"
	"io"
	"math"
	"slices"
	"time"

	"drylane/show/page"
	"drylane/show/timebase"
	"drylane/show/words"
)

// A Page is a report to be read in a browser.
type Page struct {
	Title      string
	Made       time.Time
	Report     Report
	Recordings []Recording
	Waves      [][]float32 // of the recordings: peaks from 0 to 1, WaveHz a second
}

//go:embed page.html
var pageHTML string

var pageTemplate = page.New(pageHTML, template.FuncMap{
	"late": Estimate.lateWords, "between": Estimate.between, "heard": Estimate.heardWords,
})

// WriteHTML writes the page: one file that needs no other, has no scripts, prints, and
// reads on a telephone.
func (p Page) WriteHTML(w io.Writer) error {
	return pageTemplate.Execute(w, struct {
		Page
		Tapes []tape
	}{p, p.tapes()})
}

// A tape is a recording as the page draws it.
type tape struct {
	Name, Text string
	Rows       []row
}

// rowFor is how much of a recording a row of the page holds.
const rowFor = 30 * time.Second

// A row is half a minute of a recording: its sound, and below it a lane for each
// position with its cues.
type row struct {
	Text   string
	Height float64
	Sound  page.Path
	Bangs  []float64
	Held   []span
	Lanes  []lane
}

type span struct{ X, Width float64 }

type lane struct {
	Name string
	Y    float64
	Dots []dot
}

// A dot is a cue.
type dot struct {
	X           float64
	Class, Text string
}

// The measures of a row, in its own units.
const (
	rowWidth = 600
	rowFloor = 50 // where the sound stands
	laneStep = 36 // a name above each lane, in the large letters of a telephone, clear of dots
)

// loud is the height of a peak.
var loud = page.Axis{Hi: 1, From: rowFloor, To: 6}

func (p Page) tapes() []tape {
	var out []tape
	for k, r := range p.Recordings {
		t := tape{Name: r.Name, Text: r.words()}
		for from := time.Duration(0); from < r.Length; from += rowFor {
			if !r.plays(from, from+rowFor) {
				continue
			}
			t.Rows = append(t.Rows, p.row(k, r, from))
		}
		out = append(out, t)
	}
	return out
}

// plays reports whether anything of the show is in a part of the recording.
func (r Recording) plays(from, to time.Duration) bool {
	last := r.Pieces[len(r.Pieces)-1]
	return to > r.Pieces[0].At && from < last.Heard(last.To)
}

// words say what of the music was recognised in a recording: it may have more.
func (r Recording) words() string {
	n := len(r.Pieces)
	text := fmt.Sprintf("%s of sound, its music recognised from %s to %s", clock(r.Length), clock(r.Pieces[0].From), clock(r.Pieces[n-1].To))
	if n > 1 {
		text += ", " + words.Count(n-1, "hold")
	}
	return text
}

func (p Page) row(k int, r Recording, from time.Duration) row {
	to := from + rowFor
	x := page.Axis{Lo: from.Seconds(), Hi: to.Seconds(), To: rowWidth}
	out := row{Text: clock(from), Held: held(r, x)}
	wave := p.Waves[k]
	first := min(int(from/(time.Second/WaveHz)), len(wave))
	last := min(first+int(rowFor/(time.Second/WaveHz)), len(wave))
	out.Sound = page.Outline(wave[first:last], page.Axis{Hi: float64(rowFor / (time.Second / WaveHz)), To: rowWidth}, loud)
	for _, b := range r.Bangs {
		if b.At >= from && b.At < to {
			out.Bangs = append(out.Bangs, x.At(b.At.Seconds()))
		}
	}
	for i, g := range p.Report.Positions {
		l := lane{Name: g.Name, Y: rowFloor + float64(i+1)*laneStep}
		for _, c := range p.Report.Cues {
			if c.Position == g.Name && c.Recording == k && c.Due >= from && c.Due < to && c.due() {
				l.Dots = append(l.Dots, c.dot(x.At(c.Due.Seconds())))
			}
		}
		out.Lanes = append(out.Lanes, l)
	}
	out.Height = rowFloor + float64(len(out.Lanes)+1)*laneStep + 6
	return out
}

// held are the holds of a recording as far as they are on an axis.
func held(r Recording, x page.Axis) (out []span) {
	for _, h := range r.Holds() {
		from, to := max(h.Begin.Seconds(), x.Lo), min((h.Begin+h.Length).Seconds(), x.Hi)
		if from < to {
			out = append(out, span{x.At(from), math.Round(10*(x.At(to)-x.At(from))) / 10})
		}
	}
	return out
}

// due reports whether a cue has a place in a recording.
func (c Cue) due() bool { return slices.Contains([]CueState{Heard, NotHeard}, c.State) }

func (c Cue) dot(x float64) dot {
	d := dot{X: x, Class: "none", Text: fmt.Sprintf("cue %s, %s, %s: %s", c.ID, c.Position, timebase.ClockMillis(c.EffectAt), c.State)}
	if c.State == Heard {
		d.Class = "cue"
		d.Text += ", " + words.Late(c.Late)
		if c.Off {
			d.Class = "off"
		}
	}
	return d
}
