package screen

// glyphs are the capital letters and digits, five rows of four columns each, from the
// top.
var glyphs = map[rune][5]string{
	'A': {" ## ", "#  #", "####", "#  #", "#  #"},
	'B': {"### ", "#  #", "### ", "#  #", "### "},
	'C': {" ###", "#   ", "#   ", "#   ", " ###"},
	'D': {"### ", "#  #", "#  #", "#  #", "### "},
	'E': {"####", "#   ", "### ", "#   ", "####"},
	'F': {"####", "#   ", "### ", "#   ", "#   "},
	'G': {" ###", "#   ", "# ##", "#  #", " ###"},
	'H': {"#  #", "#  #", "####", "#  #", "#  #"},
	'I': {"####", " ## ", " ## ", " ## ", "####"},
	'J': {"   #", "   #", "   #", "#  #", " ## "},
	'K': {"#  #", "# # ", "##  ", "# # ", "#  #"},
	'L': {"#   ", "#   ", "#   ", "#   ", "####"},
	'M': {"#  #", "####", "####", "#  #", "#  #"},
	'N': {"#  #", "## #", "# ##", "#  #", "#  #"},
	'O': {" ## ", "#  #", "#  #", "#  #", " ## "},
	'P': {"### ", "#  #", "### ", "#   ", "#   "},
	'Q': {" ## ", "#  #", "#  #", "# ##", " ###"},
	'R': {"### ", "#  #", "### ", "# # ", "#  #"},
	'S': {" ###", "#   ", " ## ", "   #", "### "},
	'T': {"####", " ## ", " ## ", " ## ", " ## "},
	'U': {"#  #", "#  #", "#  #", "#  #", " ## "},
	'V': {"#  #", "#  #", "#  #", " ## ", " ## "},
	'W': {"#  #", "#  #", "####", "####", "#  #"},
	'X': {"#  #", " ## ", " ## ", " ## ", "#  #"},
	'Y': {"#  #", "#  #", " ## ", " ## ", " ## "},
	'Z': {"####", "  # ", " #  ", "#   ", "####"},
	'1': {" #  ", "##  ", " #  ", " #  ", "### "},
	'2': {"### ", "   #", " ## ", "#   ", "####"},
	'3': {"### ", "   #", " ## ", "   #", "### "},
	'4': {"# # ", "# # ", "####", "  # ", "  # "},
	'5': {"####", "#   ", "### ", "   #", "### "},
	'6': {" ## ", "#   ", "### ", "#  #", " ## "},
	'7': {"####", "   #", "  # ", " #  ", " #  "},
	'8': {" ## ", "#  #", " ## ", "#  #", " ## "},
	'9': {" ## ", "#  #", " ###", "   #", " ## "},
	'0': {" ## ", "#  #", "#  #", "#  #", " ## "},
}

// LargeWidth is how many columns Large needs for s with strokes that wide.
func LargeWidth(s string, stroke int) int {
	n := 0
	for _, r := range s {
		if _, ok := glyphs[r]; ok {
			n += 4 * stroke
		} else {
			n += stroke
		}
		n += stroke
	}
	return max(0, n-stroke)
}

// Large writes capitals and digits h rows high, five at least, with strokes stroke
// columns wide, to be read from across a room. Any other character is a blank.
func (c *Canvas) Large(x, y, stroke, h int, s string, style Style) {
	for _, r := range s {
		g, ok := glyphs[r]
		if !ok {
			x += 2 * stroke
			continue
		}
		for row := range h {
			for col := range 4 * stroke {
				// Two halves of a row: a letter's five rows need not divide h.
				up := g[2*row*5/(2*h)][col/stroke] == '#'
				down := g[(2*row+1)*5/(2*h)][col/stroke] == '#'
				if up || down {
					c.Set(x+col, y+row, halfOf(up, down), style)
				}
			}
		}
		x += 5 * stroke
	}
}

func halfOf(up, down bool) rune {
	switch {
	case up && down:
		return '█'
	case up:
		return '▀'
	}
	return '▄'
}
