package screen

// A Hint is a key and what it does.
type Hint struct{ Key, Label string }

// KeyLine draws keys, as many as there is room for.
func (c *Canvas) KeyLine(r Rectangle, keys []Hint) {
	x, y := r.X+1, r.Y
	for _, k := range keys {
		w := c.Width(k.Key) + 1 + len(k.Label) + 2
		if x+w > r.X+r.W {
			if y++; y >= r.Y+r.H {
				return
			}
			x = r.X + 1
		}
		x = c.Text(x, y, w, k.Key, KeyName)
		x = c.Text(x+1, y, w, k.Label, KeyText) + 2
	}
}
