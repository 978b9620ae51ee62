package ltc

import (
	"context"
	"errors"
	"fmt"
	"math"
	"time"

	"drylane/show/timebase"

	"github.com/faiface/beep"
)

// ErrNoTimecode is returned by Analyse for a stream without timecode.
var ErrNoTimecode = errors.New("no timecode found")

// A Report says what timecode a stream carries.
type Report struct {
	SampleRate  int
	Frames      int64 // found
	First, Last Frame
	// Rate is the rate nearest to what was found, among those that count as
	// the labels do, and PPM by how many millionths the timecode runs faster
	// than it. FPS is the frames a second as measured over the runs without
	// faults.
	Rate timebase.Rate
	FPS  float64
	PPM  float64
	// Zero is the label of the frame that starts nearest to sample 0, going by
	// First and FPS, and ZeroOffset how many samples after sample 0 it starts.
	Zero       timebase.Timecode
	ZeroOffset float64
	// Quietest and Loudest are the levels of the frames, in dBFS.
	Quietest, Loudest float64
	Faults            []Fault // the first 1000
	FaultCount        int     // all
}

// Time converts a sample of the stream to the time since its start.
func (r Report) Time(sample int64) time.Duration {
	whole, rest := sample/int64(r.SampleRate), sample%int64(r.SampleRate)
	return time.Duration(whole)*time.Second + time.Duration(rest*int64(time.Second)/int64(r.SampleRate))
}

// Report says what has been found so far. Without any frame it is ErrNoTimecode.
func (c *Checker) Report() (Report, error) {
	if c.frames == 0 {
		return Report{}, ErrNoTimecode
	}
	r := Report{
		SampleRate: c.rate, Frames: c.frames, First: c.first, Last: c.last,
		Quietest: c.quiet, Loudest: c.hot,
		Faults: append([]Fault(nil), c.faults...), FaultCount: c.faultCount,
	}
	length := c.length()
	r.FPS = float64(c.rate) / length
	r.Rate = nearestRate(r.FPS, c.count(), c.last.Drop)
	r.PPM = (r.FPS/r.Rate.FPS() - 1) * 1e6
	r.Zero, r.ZeroOffset = zero(c.first, length, r.Rate)
	return r, nil
}

// length returns the mean samples a frame.
func (c *Checker) length() float64 {
	frames := c.spanFrames + c.runFrames
	if frames == 0 {
		return c.first.Length
	}
	return (c.span + c.last.Start - c.run.Start) / float64(frames)
}

// zero extends the run of f back to sample 0.
func zero(f Frame, length float64, r timebase.Rate) (timebase.Timecode, float64) {
	back := math.Round(f.edge() / length)
	offset := f.edge() - back*length
	k := f.Frames(r.Count())
	if f.Reverse {
		return r.Timecode(k + int64(back)), offset
	}
	return r.Timecode(k - int64(back)), offset
}

// A Channel of a stream.
type Channel int

// The channels.
const (
	Left Channel = iota
	Right
)

// String returns left or right.
func (c Channel) String() string { return [...]string{"left", "right"}[c] }

// Analyse reads one channel of s to its end, sampleRate samples a second, and
// reports on the timecode in it. Errors: that of the stream, that of ctx, and
// ErrNoTimecode.
func Analyse(ctx context.Context, s beep.Streamer, sampleRate int, channel Channel) (Report, error) {
	c := NewChecker(sampleRate)
	d, err := NewDecoder(sampleRate, c.Add)
	if err != nil {
		return Report{}, err
	}
	var frames [4096][2]float64
	var mono [len(frames)]float64
	for {
		if err := ctx.Err(); err != nil {
			return Report{}, err
		}
		n, ok := s.Stream(frames[:])
		if !ok {
			break
		}
		for i, f := range frames[:n] {
			mono[i] = f[channel]
		}
		d.Write(mono[:n])
	}
	if err := s.Err(); err != nil {
		return Report{}, fmt.Errorf("reading timecode: %w", err)
	}
	d.Flush()
	r, err := c.Report()
	if err != nil {
		return Report{}, fmt.Errorf("%w on the %s channel", err, channel)
	}
	return r, nil
}
