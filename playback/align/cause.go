package align

import "math"

// A Cause is the likely cause of a rate error.
type Cause string

// The causes. A ratio is B's duration over A's.
const (
	CauseNone      Cause = ""
	Cause48As441   Cause = "48 as 44.1"       // 160/147
	Cause441As48   Cause = "44.1 as 48"       // 147/160
	CausePullDown  Cause = "1001/1000"        // 30 at 29.97, 24 at 23.976
	CausePullUp    Cause = "1000/1001"        // the other way
	Cause24As25    Cause = "24 as 25"         // 24/25
	Cause25As24    Cause = "25 as 24"         // 25/24
	Cause23976As25 Cause = "23.976 as 25"     // 960/1001
	Cause25As23976 Cause = "25 as 23.976"     // 1001/960
	CauseClock     Cause = "sound-card clock" // up to 300 ppm
	CauseUnknown   Cause = "unknown"
)

// trueRate is the rate error, in ppm, up to which a file runs true: 1.2 ms in
// ten minutes.
const trueRate = 2

// clockRate is the largest rate error, in ppm, put down to two free-running
// crystals. 100 ppm each is usual; a published pair of cards differed by 160.
const clockRate = 300

// ratioSlack is how far, in ppm, a known ratio may be missed.
const ratioSlack = 50

var knownRatios = []struct {
	ratio float64
	cause Cause
	words string
}{
	{160. / 147, Cause48As441, "48 kHz sound played as 44.1 kHz"},
	{147. / 160, Cause441As48, "44.1 kHz sound played as 48 kHz"},
	{1001. / 1000, CausePullDown, "30 frames a second run at 29.97, a ratio of 1001/1000"},
	{1000. / 1001, CausePullUp, "29.97 frames a second run at 30, a ratio of 1000/1001"},
	{24. / 25, Cause24As25, "film at 24 frames a second run at 25"},
	{25. / 24, Cause25As24, "film at 25 frames a second run at 24"},
	{960. / 1001, Cause23976As25, "film at 23.976 frames a second run at 25"},
	{1001. / 960, Cause25As23976, "film at 25 frames a second run at 23.976"},
}

// CauseOf names the likely cause of a rate error with its standard error.
func CauseOf(ppm, se float64) Cause {
	if math.Abs(ppm) <= max(trueRate, 3*se) {
		return CauseNone
	}
	for _, k := range knownRatios {
		if math.Abs((1+ppm*1e-6)/k.ratio-1) <= ratioSlack*1e-6 {
			return k.cause
		}
	}
	if math.Abs(ppm) <= clockRate {
		return CauseClock
	}
	return CauseUnknown
}

// Words describes a cause to a person; empty for CauseNone.
func (c Cause) Words() string {
	for _, k := range knownRatios {
		if k.cause == c {
			return k.words
		}
	}
	switch c {
	case CauseClock:
		return "two sound-card clocks that differ"
	case CauseUnknown:
		return "no usual cause"
	}
	return ""
}
