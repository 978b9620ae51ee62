package show

import (
	"errors"
	"slices"

	"drylane/show/timebase"
)

// readTimecode reads rate, label and level, such as 25 01:00:00:00 -12 dB.
func (c *Channel) readTimecode(words []string) *channelError {
	const example = "a rate and a label such as timecode 25 01:00:00:00"
	if len(words) > 1 && words[1] == "drop" {
		words = slices.Concat([]string{words[0] + " drop"}, words[2:])
	}
	if len(words) == 0 {
		return refuseChannel("timecode without a rate", example)
	}
	rate, err := timebase.ParseRate(words[0])
	if err != nil {
		return refuseChannel("the timecode rate "+Quote(words[0]), "23.976, 24, 25, 29.97, 29.97 drop or 30")
	}
	if len(words) == 1 {
		return refuseChannel("timecode without the label of its first frame", example)
	}
	c.Rate, c.Start, err = timebase.ParseLabel(rate, words[1])
	if wrong := new(timebase.LabelError); errors.As(err, &wrong) {
		return refuseChannel("the timecode label "+Quote(wrong.Label), wrong.Wanted)
	}
	return c.readLevel(words[2:])
}
