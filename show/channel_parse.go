package show

import (
	"fmt"
	"math"
	"strconv"
	"strings"
	"time"
)

// A channelError says what was found in a channel and what was wanted.
type channelError struct{ found, wanted string }

func (e *channelError) Error() string { return "found " + e.found + "; wanted " + e.wanted }

func refuseChannel(found, wanted string) *channelError { return &channelError{found, wanted} }

const sourcesWanted = "one of music, timecode, calls, pips, tone, silence"

// ParseChannel reads one side of a companion track; see Channel. The error says
// what was found and what is wanted.
func ParseChannel(text string) (Channel, error) {
	c, err := parseChannel(text)
	if err != nil {
		return Channel{}, err // not a nil *channelError in an error
	}
	return c, nil
}

func parseChannel(text string) (Channel, *channelError) {
	parts, err := splitChannel(text)
	if err != nil {
		return Channel{}, err
	}
	source, rest, _ := strings.Cut(strings.TrimSpace(parts[0]), " ")
	c := Channel{Source: source}
	if err := c.readSource(strings.TrimSpace(rest)); err != nil {
		return c, err
	}
	seen := map[string]bool{}
	for _, part := range parts[1:] {
		words := strings.Fields(part)
		if len(words) > 0 && seen[words[0]] {
			return c, refuseChannel("the option "+Quote(words[0])+" twice", "it once")
		}
		if err := c.readOption(words); err != nil {
			return c, err
		}
		seen[words[0]] = true
	}
	if level := c.Level + c.Gain; (c.Source == ChannelTimecode || c.Source == ChannelTone) && level > maxLevel {
		return c, refuseChannel(fmt.Sprintf("a level of %g dB with its gain", level), fmt.Sprintf("at most %g dB", maxLevel))
	}
	return c, nil
}

// splitChannel cuts text at its commas, except for those in quotes.
func splitChannel(text string) ([]string, *channelError) {
	var parts []string
	start := 0
	for i := 0; i < len(text); i++ {
		switch text[i] {
		case ',':
			parts = append(parts, text[start:i])
			start = i + 1
		case '"':
			quoted, err := strconv.QuotedPrefix(text[i:])
			if err != nil {
				return nil, refuseChannel(Quote(text[i:])+" without its second quote", `a name in quotes, such as "Beacon, east"`)
			}
			i += len(quoted) - 1
		}
	}
	return append(parts, text[start:]), nil
}

func (c *Channel) readSource(rest string) *channelError {
	words := strings.Fields(rest)
	switch c.Source {
	case ChannelMusic:
		return c.readMusic(words)
	case ChannelTimecode:
		return c.readTimecode(words)
	case ChannelTone:
		return c.readTone(words)
	case ChannelCalls, ChannelPips:
		return c.readPosition(rest)
	case ChannelSilence:
		if rest != "" {
			return refuseChannel(Quote(rest)+" after silence", "nothing after it, or a comma before an option")
		}
		return nil
	}
	sources := []string{ChannelMusic, ChannelTimecode, ChannelCalls, ChannelPips, ChannelTone, ChannelSilence}
	return refuseChannel("the source "+Quote(c.Source), sourcesWanted+DidYouMean(c.Source, sources))
}

func (c *Channel) readMusic(words []string) *channelError {
	c.Side = SideMono
	if len(words) > 0 {
		c.Side = words[0]
	}
	if len(words) > 1 || c.Side != SideLeft && c.Side != SideRight && c.Side != SideMono {
		return refuseChannel(Quote(strings.Join(words, " "))+" after music", "left, right or mono, and a comma before an option")
	}
	return nil
}

func (c *Channel) readTone(words []string) *channelError {
	if len(words) < 2 {
		return refuseChannel("a tone of "+Quote(strings.Join(words, " ")), "a frequency such as tone 1000 Hz -18 dB")
	}
	var err *channelError
	if c.Hz, err = quantity("a tone", words[:2], "Hz", minHz, maxHz, 3); err != nil {
		return err
	}
	return c.readLevel(words[2:])
}

// readLevel reads the level that may end a source.
func (c *Channel) readLevel(words []string) (err *channelError) {
	c.Level = DefaultChannelLevel
	if len(words) > 0 {
		c.Level, err = quantity("a level", words, "dB", minLevel, maxLevel, 2)
	}
	return err
}

func (c *Channel) readPosition(rest string) *channelError {
	c.Position = strings.Join(strings.Fields(rest), " ")
	if strings.Contains(rest, `"`) {
		name, err := strconv.Unquote(rest)
		if err != nil || rest[0] != '"' || name == "" {
			return refuseChannel(Quote(rest)+" as a position", `a name, or all of it in quotes, such as "Beacon, east"`)
		}
		c.Position = name
	}
	if Clean(c.Position) != c.Position || strings.TrimSpace(c.Position) != c.Position {
		return refuseChannel(Quote(c.Position)+" as a position", "the name of a position")
	}
	return nil
}

func (c *Channel) readOption(words []string) (err *channelError) {
	const wanted = "gain -6 dB, offset 0.5 s or, for music, witness"
	if len(words) == 0 {
		return refuseChannel("nothing after a comma", wanted)
	}
	switch words[0] {
	case "gain":
		c.Gain, err = quantity("a gain", words[1:], "dB", minGain, maxGain, 2)
	case "offset":
		var seconds float64
		seconds, err = quantity("an offset", words[1:], "s", -maxOffset.Seconds(), maxOffset.Seconds(), 3)
		c.Offset = time.Duration(math.Round(seconds*1000)) * time.Millisecond
	case "witness":
		if c.Source != ChannelMusic || len(words) > 1 {
			return refuseChannel(Quote(strings.Join(words, " "))+" on "+c.Source, "the word witness alone, on music")
		}
		c.Witness = true
	default:
		return refuseChannel("the option "+Quote(strings.Join(words, " ")), wanted+DidYouMean(words[0], []string{"gain", "offset", "witness"}))
	}
	return err
}

// quantity reads a number of at most so many decimals and its unit, in lo..hi.
func quantity(what string, words []string, unit string, lo, hi float64, decimals int) (float64, *channelError) {
	text := strings.Join(words, " ")
	wanted := fmt.Sprintf("%g to %g %s, with at most %d decimals", lo, hi, unit, decimals)
	number, ok := strings.CutSuffix(text, unit)
	if number = strings.TrimSpace(number); !ok || !plainDecimal(number, decimals) {
		return 0, refuseChannel(Quote(text)+" as "+what, wanted)
	}
	x, err := strconv.ParseFloat(number, 64)
	if err != nil || x < lo || x > hi {
		return 0, refuseChannel(Quote(text)+" as "+what, wanted)
	}
	return x + 0, nil // + 0 makes 0 of -0
}

// plainDecimal reports whether s is digits with a sign and a point at most.
func plainDecimal(s string, decimals int) bool {
	whole, part, pointed := strings.Cut(strings.TrimLeft(s, "+-"), ".")
	return len(s)-len(strings.TrimLeft(s, "+-")) <= 1 && isDigits(whole) && (!pointed || isDigits(part) && len(part) <= decimals)
}

// isDigits reports whether s is 1 to 9 digits.
func isDigits(s string) bool {
	return s != "" && len(s) < 10 && strings.Trim(s, "0123456789") == ""
}
