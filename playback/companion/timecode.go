package companion

import (
	"drylane/show"
	"drylane/show/timebase"
)

// TimecodeOf returns what tells the timecode of a frame of the music by the
// first [[track]] that carries one, or nil if none does.
func TimecodeOf(s *show.Show, rate int, length timebase.Frame) func(timebase.Frame) string {
	for _, t := range s.Tracks {
		for _, side := range [...]string{t.Left, t.Right} {
			if c, err := show.ParseChannel(side); err == nil && c.Source == show.ChannelTimecode {
				return channelTimecode(c, rate, length)
			}
		}
	}
	return nil
}

// channelTimecode is TimecodeOf for a channel. Before its first frame and after
// the music there is none to be heard.
func channelTimecode(c show.Channel, rate int, length timebase.Frame) func(timebase.Frame) string {
	r := c.Rate
	first, err := r.Index(c.Start)
	if err != nil {
		return nil
	}
	offset := timebase.FrameAt(c.Offset, rate)
	return func(f timebase.Frame) string {
		label := "--:--:--:--"
		if f >= max(0, offset) {
			label = r.Timecode(first + r.FrameAt(int64(min(f, length-1)-offset), rate)).String()
		}
		return label + " @" + r.String()
	}
}
