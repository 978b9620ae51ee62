package tracks

import (
	"drylane/playback"
	"drylane/playback/calls"
	"drylane/playback/ltc"
	"drylane/show/timebase"
)

// Silence is no sound.
type Silence struct{}

// Fill implements Source.
func (Silence) Fill(dst []float64, _ int64) error {
	clear(dst)
	return nil
}

// Timecode is linear timecode. Its first frame starts at frame 0 of the source.
type Timecode struct {
	config ltc.Config
	enc    *ltc.Encoder
	buf    [][2]float64
}

// NewTimecode returns the timecode of a Config.
func NewTimecode(c ltc.Config) (*Timecode, error) {
	enc, err := ltc.NewEncoder(c)
	return &Timecode{config: c, enc: enc}, err
}

// Fill implements Source.
func (t *Timecode) Fill(dst []float64, from int64) error {
	clear(dst)
	lo, hi := max(from, 0), min(from+int64(len(dst)), int64(t.config.Length))
	if lo >= hi {
		return nil
	}
	if cap(t.buf) < len(dst) {
		t.buf = make([][2]float64, len(dst))
	}
	if err := t.enc.Seek(int(lo)); err != nil {
		return err
	}
	n, _ := t.enc.Stream(t.buf[:hi-lo])
	for i, f := range t.buf[:n] {
		dst[lo-from+int64(i)] = f[0]
	}
	return nil
}

// Calls are calls for the cues of a position, spoken or as pips.
type Calls struct {
	marks  []calls.Mark
	voices *playback.Voices
	buf    [][2]float64
}

// NewCalls places calls that were rendered at the rate of the file.
func NewCalls(marks []calls.Mark) *Calls {
	return &Calls{marks: marks, voices: calls.Voices(marks)}
}

// Fill implements Source.
func (c *Calls) Fill(dst []float64, from int64) error {
	if cap(c.buf) < len(dst) {
		c.buf = make([][2]float64, len(dst))
	}
	buf := c.buf[:len(dst)]
	clear(buf)
	c.voices.MixInto(buf, timebase.Frame(from), [2]float64{1, 0})
	for i, f := range buf {
		dst[i] = f[0]
	}
	return nil
}
