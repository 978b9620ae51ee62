package show

import (
	"fmt"
	"strconv"
	"strings"
	"time"

	"drylane/show/timebase"
)

// The sources of a Channel.
const (
	ChannelSilence  = "silence"
	ChannelMusic    = "music"
	ChannelTimecode = "timecode"
	ChannelCalls    = "calls"
	ChannelPips     = "pips"
	ChannelTone     = "tone"
)

// The sides of the music.
const (
	SideLeft  = "left"
	SideRight = "right"
	SideMono  = "mono" // the mean of both
)

// Limits and defaults of a Channel.
const (
	DefaultChannelLevel = -18.0 // dBFS, of timecode, tones and the witness
	WitnessHz           = 1000.0
	WitnessLength       = time.Second

	minLevel, maxLevel = -60.0, -0.1
	minGain, maxGain   = -60.0, 20.0
	minHz, maxHz       = 20.0, 20_000.0
	maxOffset          = time.Minute
)

// A Channel is what one side of a companion track carries. It is written as a
// source and options, with commas between:
//
//	music                       both sides of the master, mixed to one
//	music left                  one side; also right, mono
//	timecode 25 01:00:00:00     rate and label of the first frame
//	timecode 29.97 drop 01:00:00;00 -12 dB
//	                            ... and a level, else -18 dB
//	calls Beacon                spoken calls for the cues of a position
//	calls                       ... of every hand-fired position
//	pips Beacon                 the same by pips
//	tone 1000 Hz -18 dB         a steady tone, and a level
//	silence
//
// The options are
//
//	gain -6 dB                  louder or softer, -60 to 20 dB
//	offset 0.5 s                later, up to 60 s; with a minus earlier
//	witness                     music only: a tone of 1 s and 1000 Hz laid in
//	                            where [witness] says, at -18 dB; the music
//	                            under it stays as it is
//
// A position whose name holds a comma or a quote stands in quotes as TOML and
// Go write them.
type Channel struct {
	Source   string            // one of the constants above
	Side     string            // of the music
	Rate     timebase.Rate     // of timecode
	Start    timebase.Timecode // label of its first frame, which Rate has
	Position string            // of calls and pips; empty for every hand-fired one
	Hz       float64           // of a tone, in whole thousandths
	Level    float64           // of timecode or a tone, in dBFS
	Gain     float64           // in dB
	Offset   time.Duration     // positive is later
	Witness  bool              // lays the witness tone into the music
}

// CallsOf returns the position whose calls or pips are on the left of the track
// and on the right; empty where there is none, or those of several.
func (t Track) CallsOf() [2]string {
	var of [2]string
	for side, text := range [...]string{t.Left, t.Right} {
		if c, err := ParseChannel(text); err == nil && (c.Source == ChannelCalls || c.Source == ChannelPips) {
			of[side] = c.Position
		}
	}
	return of
}

// String writes c so that ParseChannel reads it back.
func (c Channel) String() string {
	var b strings.Builder
	b.WriteString(c.Source)
	switch c.Source {
	case ChannelMusic:
		b.WriteString(" " + c.Side)
	case ChannelTimecode:
		fmt.Fprintf(&b, " %s %s %s dB", c.Rate, c.Start, plainNumber(c.Level))
	case ChannelTone:
		fmt.Fprintf(&b, " %s Hz %s dB", plainNumber(c.Hz), plainNumber(c.Level))
	case ChannelCalls, ChannelPips:
		if c.Position != "" {
			b.WriteString(" " + quotePosition(c.Position))
		}
	}
	if c.Gain != 0 {
		fmt.Fprintf(&b, ", gain %s dB", plainNumber(c.Gain))
	}
	if c.Offset != 0 {
		fmt.Fprintf(&b, ", offset %s s", plainNumber(float64(c.Offset.Milliseconds())/1000))
	}
	if c.Witness {
		b.WriteString(", witness")
	}
	return b.String()
}

// plainNumber writes x without an exponent.
func plainNumber(x float64) string { return strconv.FormatFloat(x, 'f', -1, 64) }

// quotePosition puts a name in quotes where it would not read as it is.
func quotePosition(name string) string {
	if strings.ContainsAny(name, `,"'`+"`\\") || strings.Join(strings.Fields(name), " ") != name {
		return strconv.Quote(name)
	}
	return name
}
