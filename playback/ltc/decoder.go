package ltc

import (
	"fmt"
	"math"

	"drylane/show/timebase"
)

// A Frame is one frame as a Decoder found it.
type Frame struct {
	timebase.Timecode
	Word Word
	// Start is the sample at which the frame begins, counted from 0 at the
	// first sample written, and Length how many it takes. In a frame played
	// backwards the last bit comes first, at Start.
	Start, Length float64
	Reverse       bool
	Level         float64 // of the flat tops, in dBFS
}

// Sample returns the sample nearest to Start.
func (f Frame) Sample() int64 { return int64(math.Round(f.Start)) }

// edge returns where the label begins in its own running direction.
func (f Frame) edge() float64 {
	if f.Reverse {
		return f.Start + f.Length
	}
	return f.Start
}

// A Decoder finds the frames in a stream of samples of any level, with an
// offset or upside down, forwards or backwards, at up to 10 % more or less
// than the nominal speed of any Rate. A frame is reported when all its 80 bits
// have been read without a break, its sync word is right and its digits are a
// label: nothing is guessed, and what is damaged is left out. Where the sound
// stops right after the last bit, the edge that would end that bit is not
// needed.
//
// It has to hear both edges of the first bit. Below 16000 samples a second a
// stream that begins on an edge can lose its first frame.
//
// A Decoder needs memory for some milliseconds, whatever it is fed.
type Decoder struct {
	found  func(Frame)
	rate   int
	intake []float64 // the first samples, until there are enough to start with
	slicer *slicer   // nil while intake fills
	bits   bitReader
}

// intakeTime is how much is read before the first sample is looked at, in
// seconds: enough to know the offset and the level, and a whole turn of 50 Hz
// hum.
const intakeTime = 0.020

// NewDecoder returns a Decoder for a stream of sampleRate samples a second,
// 8000 to 192000. It calls found for each frame, in the order heard, from
// within Write and Flush.
func NewDecoder(sampleRate int, found func(Frame)) (*Decoder, error) {
	if sampleRate < MinSampleRate || sampleRate > MaxSampleRate {
		return nil, fmt.Errorf("timecode at %d samples a second, want %d to %d", sampleRate, MinSampleRate, MaxSampleRate)
	}
	return &Decoder{
		found:  found,
		rate:   sampleRate,
		intake: make([]float64, 0, int(intakeTime*float64(sampleRate))),
		bits:   newBitReader(float64(sampleRate)),
	}, nil
}

// Write reads on. What is no number, or beyond any sound, counts as 0.
func (d *Decoder) Write(samples []float64) {
	if d.slicer == nil {
		n := min(len(samples), cap(d.intake)-len(d.intake))
		d.intake = append(d.intake, samples[:n]...)
		if len(d.intake) < cap(d.intake) {
			return
		}
		d.begin()
		samples = samples[n:]
	}
	d.read(samples)
}

// Flush tells that the stream ends here: a frame that ends with it is then
// reported. Only a new Decoder can be written to after Flush.
func (d *Decoder) Flush() {
	if d.slicer == nil {
		d.begin()
	}
	// The smoother lags behind by half its length.
	for range d.slicer.lag {
		d.read([]float64{d.slicer.dc})
	}
	d.bits.finish(float64(d.slicer.n))
	d.report()
}

// begin starts with what has been taken in.
func (d *Decoder) begin() {
	d.slicer = newSlicer(float64(d.rate), d.intake)
	d.read(d.intake)
	d.intake = nil
}

func (d *Decoder) read(samples []float64) {
	for len(samples) > 0 {
		used, t, edge := d.slicer.next(samples, d.bits.deadline)
		samples = samples[used:]
		if float64(d.slicer.n) > d.bits.deadline && d.bits.expire(d.slicer.loud) {
			d.report()
		}
		switch {
		case edge && d.slicer.onset:
			d.bits.begin(t)
		case edge && d.bits.edge(t, d.slicer.takePeak()):
			d.report()
		}
		d.slicer.lock(d.bits.locked())
	}
}

// report hands on the frame that ends with the last bit, if one does.
func (d *Decoder) report() {
	if f, ok := d.bits.frame(); ok {
		d.found(f)
	}
}
