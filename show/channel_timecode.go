package show

import (
	"fmt"
	"slices"
	"strings"
)

// timecodeRates are the frame rates of SMPTE ST 12-1 with one label a frame,
// and how many frames are counted to a second.
var timecodeRates = []struct {
	name  string
	count int
}{{"23.976", 24}, {"24", 24}, {"25", 25}, {"29.97", 30}, {"29.97 drop", 30}, {"30", 30}}

// readTimecode reads rate, label and level, such as 25 01:00:00:00 -12 dB.
func (c *Channel) readTimecode(words []string) *channelError {
	const example = "a rate and a label such as timecode 25 01:00:00:00"
	if len(words) > 1 && words[1] == "drop" {
		words = slices.Concat([]string{words[0] + " drop"}, words[2:])
	}
	if len(words) == 0 {
		return refuseChannel("timecode without a rate", example)
	}
	rate := slices.IndexFunc(timecodeRates, func(r struct {
		name  string
		count int
	}) bool {
		return r.name == words[0]
	})
	if rate < 0 {
		return refuseChannel("the timecode rate "+Quote(words[0]), "23.976, 24, 25, 29.97, 29.97 drop or 30")
	}
	if len(words) == 1 {
		return refuseChannel("timecode without the label of its first frame", example)
	}
	c.Rate, c.Start = words[0], words[1]
	if c.Rate == "29.97" && strings.Contains(c.Start, ";") {
		c.Rate = "29.97 drop"
	}
	if err := checkLabel(c.Rate, timecodeRates[rate].count, c.Start); err != nil {
		return err
	}
	return c.readLevel(words[2:])
}

// checkLabel holds a label hh:mm:ss:ff against its rate. Drop frame has ; before
// the frames and leaves out frames 00 and 01 of every minute but each tenth.
func checkLabel(rate string, count int, label string) *channelError {
	drop := strings.HasSuffix(rate, "drop")
	form, separator := "hh:mm:ss:ff", ":"
	if drop {
		form, separator = "hh:mm:ss;ff", ";"
	}
	found := "the timecode label " + Quote(label)
	var h, m, s, f int
	n, err := fmt.Sscanf(label, "%02d:%02d:%02d"+separator+"%02d", &h, &m, &s, &f)
	if err != nil || n != 4 || label != fmt.Sprintf("%02d:%02d:%02d%s%02d", h, m, s, separator, f) {
		return refuseChannel(found, form+" at "+rate)
	}
	if h < 0 || m < 0 || s < 0 || f < 0 || h > 23 || m > 59 || s > 59 || f >= count {
		return refuseChannel(found, fmt.Sprintf("00:00:00%s00 to 23:59:59%s%d at %s", separator, separator, count-1, rate))
	}
	if drop && f < 2 && s == 0 && m%10 != 0 {
		return refuseChannel(found, "a frame from 02 on: drop frame leaves out 00 and 01 of that minute")
	}
	return nil
}
