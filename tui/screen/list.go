package screen

import "fmt"

// A List is lines of which one is marked and as many as there is room for are
// in sight.
type List struct {
	Rows  int // lines in all
	Mark  int // the marked line
	first int // the first line in sight
}

// Move marks the line that is so many below the marked one, or above it if by is
// negative.
func (l *List) Move(by int) { l.Mark = max(0, min(l.Mark+by, l.Rows-1)) }

// Sight returns the lines in sight of h rows, the marked one among them.
func (l *List) Sight(h int) (first, last int) {
	l.first = max(l.Mark-h+1, min(l.first, l.Mark))
	return l.first, min(l.Rows, l.first+h)
}

// Mouse marks the line that was pressed, or the next one at a turn of the
// wheel. r is where the lines stand.
func (l *List) Mouse(e MouseMsg, r Rectangle) {
	l.Move(e.Wheel)
	if i := l.first + e.Y - r.Y; e.Wheel == 0 && r.Contains(e.X, e.Y) && i < l.Rows {
		l.Mark = i
	}
}

// More tells in row y, up to column x, how many lines from last on are out of
// sight.
func (l *List) More(c *Canvas, x, y, last int) {
	if left := l.Rows - last; left > 0 {
		c.Right(x, y, fmt.Sprintf(" %d more ", left), Quiet)
	}
}
