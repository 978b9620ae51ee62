package screen

// A Rectangle is a part of the screen in cells.
type Rectangle struct{ X, Y, W, H int }

// Rect returns the Rectangle whose first cell is x, y, w cells wide and h high.
func Rect(x, y, w, h int) Rectangle { return Rectangle{x, y, w, h} }

func (r Rectangle) Contains(x, y int) bool {
	return x >= r.X && x < r.X+r.W && y >= r.Y && y < r.Y+r.H
}
