package field

import (
	"math"
	"strings"
)

// labels name the positions in pictures and tables, in their order.
const labels = "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnpqrtuvwxyz"

// Label is the letter of position i in the pictures; later ones share one.
func Label(i int) string {
	if i < len(labels) {
		return labels[i : i+1]
	}
	return "?"
}

// The marks of the other things in a picture.
const (
	audienceMark = 'o'
	speakerMark  = 's'
	sharedMark   = '&'
)

// bounds returns the corners of all places, never smaller than a few metres.
func (f *Field) bounds() (lo, hi Place) {
	for _, list := range [][]Mark{f.Positions, f.Speakers, f.audienceMarks()} {
		for _, m := range list {
			lo.X, lo.Y = min(lo.X, m.X), min(lo.Y, m.Y)
			hi.X, hi.Y = max(hi.X, m.X), max(hi.Y, m.Y)
		}
	}
	const least = 5
	if hi.X-lo.X < 2*least {
		lo.X, hi.X = lo.X-least, hi.X+least
	}
	if hi.Y-lo.Y < 2*least {
		lo.Y, hi.Y = lo.Y-least, hi.Y+least
	}
	return lo, hi
}

func (f *Field) audienceMarks() []Mark {
	marks := make([]Mark, len(f.Audiences))
	for i, a := range f.Audiences {
		marks[i] = a.Mark
	}
	return marks
}

// Picture draws the plan as seen from above in at most width columns and
// height lines of ASCII: positions as their labels, listening places as o,
// loudspeakers as s, what lies in one spot as &. A line is twice as high as a
// column is wide, so that the plan keeps its shape.
func (f *Field) Picture(width, height int) string {
	width, height = max(width, 10), max(height, 5)
	lo, hi := f.bounds()
	// Metres a column; a line is two of them.
	scale := max((hi.X-lo.X)/float64(width-1), (hi.Y-lo.Y)/float64(2*(height-1)))
	columns := int(math.Round((hi.X-lo.X)/scale)) + 1
	lines := int(math.Round((hi.Y-lo.Y)/(2*scale))) + 1
	grid := make([][]byte, lines)
	for i := range grid {
		grid[i] = []byte(strings.Repeat(" ", columns))
	}
	put := func(p Place, mark byte) {
		x := int(math.Round((p.X - lo.X) / scale))
		y := lines - 1 - int(math.Round((p.Y-lo.Y)/(2*scale)))
		x, y = min(max(x, 0), columns-1), min(max(y, 0), lines-1)
		if grid[y][x] != ' ' {
			mark = sharedMark
		}
		grid[y][x] = mark
	}
	for i, p := range f.Positions {
		put(p.Place, Label(i)[0])
	}
	for _, s := range f.Speakers {
		put(s.Place, speakerMark)
	}
	for _, a := range f.Audiences {
		put(a.Place, audienceMark)
	}
	var b strings.Builder
	for _, line := range grid {
		b.WriteString(strings.TrimRight(string(line), " "))
		b.WriteByte('\n')
	}
	return b.String()
}
