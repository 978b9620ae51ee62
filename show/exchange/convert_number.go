package exchange

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"drylane/show"
)

// pin reads the number of a pin; pins count from 1 (common practice, no
// source).
func (w *cueRow) pin() int {
	s := w.number(Pin)
	if s == "" {
		return 0
	}
	n, err := strconv.ParseUint(s, 10, 32)
	if err != nil || n < 1 || n > maxPin {
		w.keep(Pin, show.CodeRange, s, fmt.Sprintf("a whole number from 1 to %d", maxPin))
		return 0
	}
	return int(n)
}

// inch is the international inch in millimetres, exact by definition.
const inch = 25.4

// calibers are the units that may stand behind a caliber.
var calibers = []struct {
	end  string
	inch bool
}{{"mm", false}, {"inches", true}, {"inch", true}, {"in", true}, {`"`, true}, {"″", true}, {"''", true}}

// caliber reads a caliber in the unit that stands behind it, else in the
// profile's, and returns millimetres.
func (w *cueRow) caliber() float64 {
	s := w.number(Caliber)
	if s == "" {
		return 0
	}
	number, inches := strings.TrimSpace(strings.ToLower(s)), w.p.CaliberUnit == Inches
	for _, u := range calibers {
		if rest, ok := strings.CutSuffix(number, u.end); ok {
			number, inches = strings.TrimSpace(rest), u.inch
			break
		}
	}
	n, err := parseDecimal(number, w.burn.point)
	mm := float64(n) / nano
	if inches {
		mm = math.Round(mm*inch*1e6) / 1e6
	}
	if err != nil || mm > maxCaliber {
		w.keep(Caliber, show.CodeRange, s, fmt.Sprintf("millimetres from 0 to %d such as 75, or inches with --caliber-unit inch", maxCaliber))
		return 0
	}
	return mm
}
