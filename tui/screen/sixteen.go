package screen

import (
	"math"

	"github.com/lucasb-eyer/go-colorful"
)

// A terminal of sixteen colours shows its user's, which nobody knows. What a theme
// draws with there is the nearest of those that can be read on its ground in the usual
// palettes, and a filled cell is such a colour turned round. These are the numbers of
// those colours, each with what it is in the palette of xterm.
var readable = map[string]map[string]string{
	"dark":  {"7": "#e5e5e5", "9": "#ff0000", "10": "#00ff00", "11": "#ffff00", "13": "#ff00ff", "14": "#00ffff", "15": "#ffffff"},
	"light": {"0": "#000000", "1": "#cd0000", "4": "#0000ee", "5": "#cd00cd"},
	"night": {"9": "#ff0000", "11": "#ffff00"},
}

// inSixteen is an ink of a theme for a terminal of sixteen colours.
func inSixteen(theme string, i ink) ink {
	if i.bg != "" {
		i.fg, i.bg, i.reverse = i.bg, "", true
	}
	if i.fg != "" {
		i.fg = nearest(i.fg, readable[theme])
	}
	return i
}

// nearest is the number of the colour in list that looks most like c.
func nearest(c string, list map[string]string) (number string) {
	is, err := colorful.Hex(c)
	if err != nil {
		return ""
	}
	best := math.Inf(1)
	for n, hex := range list {
		other, _ := colorful.Hex(hex)
		if d := is.DistanceCIEDE2000(other); d < best || d == best && n < number {
			best, number = d, n
		}
	}
	return number
}
