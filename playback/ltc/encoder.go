package ltc

import (
	"fmt"
	"math"

	"drylane/show/timebase"
)

// DefaultLevel, in dBFS, is the level of an Encoder unless Config says
// otherwise: where EBU practice puts 0 dBu.
const DefaultLevel = -18

// Limits of a Config.
const (
	MinSampleRate = 8000
	MaxSampleRate = 192000
	minLevel      = -60
)

// riseTime is how long an edge takes from 10 % to 90 %, in seconds: ST 12-1
// wants 40 us +- 10.
const riseTime = 40e-6

// sineRise is the share of a raised-cosine edge between 10 % and 90 %:
// 2 asin(0.8) / pi.
const sineRise = 0.590334

// A Config says what an Encoder writes.
type Config struct {
	Rate       timebase.Rate
	SampleRate int               // samples a second, 8000 to 192000
	Start      timebase.Timecode // label of the frame that starts at sample 0
	Length     int               // samples to write
	Level      float64           // of the flat tops, in dBFS, -60 to below 0; 0 means DefaultLevel
	Extras     Extras            // carried by every frame
}

// check returns the index of the first label, or what is wrong with c.
func (c Config) check() (first int64, err error) {
	switch {
	case !c.Rate.Valid():
		return 0, fmt.Errorf("timecode has no frame %s", c.Rate)
	case c.SampleRate < MinSampleRate || c.SampleRate > MaxSampleRate:
		return 0, fmt.Errorf("timecode at %d samples a second, want %d to %d", c.SampleRate, MinSampleRate, MaxSampleRate)
	case c.Length < 0:
		return 0, fmt.Errorf("timecode of %d samples", c.Length)
	case !(c.Level >= minLevel && c.Level <= 0):
		return 0, fmt.Errorf("timecode at %g dBFS, want %d to below 0", c.Level, minLevel)
	}
	return c.Rate.Index(c.Start)
}

// An Encoder is a stream of timecode on both channels. Frame k starts at
// sample k*SampleRate/FPS, to a fraction of a sample, however large k is; the
// sample nearest to it is Rate.Sample. It is a beep.StreamSeeker: what it gives
// depends on the position alone, and a Seek costs nothing.
//
// Edges are half a cosine wave. From 24000 samples a second on they take the
// 40 us +- 10 of ST 12-1 from 10 % to 90 %; below, 1.2 samples.
type Encoder struct {
	c     Config
	first int64   // index of the label at sample 0
	level float64 // amplitude
	width float64 // of an edge, in samples
	pos   int

	frame int64     // the frame held in buf; -1 for none
	at    int64     // its first sample
	buf   []float64 // its samples
}

// NewEncoder returns an Encoder at sample 0. A Config out of its limits is an
// error.
func NewEncoder(c Config) (*Encoder, error) {
	first, err := c.check()
	if err != nil {
		return nil, err
	}
	if c.Level == 0 {
		c.Level = DefaultLevel
	}
	return &Encoder{
		c: c, first: first, frame: -1,
		level: math.Pow(10, c.Level/20),
		width: max(2, riseTime/sineRise*float64(c.SampleRate)),
		buf:   make([]float64, 0, int(float64(c.SampleRate)/c.Rate.FPS())+2),
	}, nil
}

// Len returns the length in samples.
func (e *Encoder) Len() int { return e.c.Length }

// Position returns the sample that is next.
func (e *Encoder) Position() int { return e.pos }

// Err returns nil: nothing can go wrong.
func (e *Encoder) Err() error { return nil }

// Seek makes sample p the next, from 0 to Len.
func (e *Encoder) Seek(p int) error {
	if p < 0 || p > e.c.Length {
		return fmt.Errorf("timecode: sample %d is outside 0 to %d", p, e.c.Length)
	}
	e.pos = p
	return nil
}

// TimecodeAt returns the label of the frame that sample p belongs to.
func (e *Encoder) TimecodeAt(p int) timebase.Timecode {
	return e.c.Rate.Timecode(e.first + e.c.Rate.FrameAt(int64(p), e.c.SampleRate))
}

// Stream fills samples; it returns fewer only at the end, then 0 and false.
func (e *Encoder) Stream(samples [][2]float64) (n int, ok bool) {
	samples = samples[:min(len(samples), e.c.Length-e.pos)]
	for n < len(samples) {
		i := int64(e.pos) - e.at
		if e.frame < 0 || i < 0 || i >= int64(len(e.buf)) {
			e.render(e.c.Rate.FrameAt(int64(e.pos), e.c.SampleRate))
			i = int64(e.pos) - e.at
		}
		part := e.buf[i:min(len(e.buf), int(i)+len(samples)-n)]
		for j, v := range part {
			samples[n+j] = [2]float64{v, v}
		}
		n += len(part)
		e.pos += len(part)
	}
	return n, n > 0
}
