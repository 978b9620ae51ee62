package words

import (
	"strings"

	"github.com/charmbracelet/x/ansi"
)

// Hang writes a text behind what leads it, as a column of its own, in lines of at most
// width columns that each end.
func Hang(lead, text string, width int) string {
	var b strings.Builder
	indent := ansi.StringWidth(lead)
	for row := range strings.SplitSeq(ansi.Wrap(text, max(10, width-indent), " "), "\n") {
		b.WriteString(strings.TrimRight(lead+strings.TrimLeft(row, " "), " ") + "\n")
		lead = strings.Repeat(" ", indent)
	}
	return b.String()
}
