// Package loudness measures how loud a stream of frames is and what is wrong
// with its level: loudness and loudness range, true peak, clipping, DC offset,
// balance, polarity and dead channels.
//
// Loudness follows ITU-R BS.1770 with the windows of EBU Tech 3341 and the
// range of EBU Tech 3342. All loudness is in LUFS and all peaks in dB against
// full scale, where a sample of 1 or -1 is 0 dB.
//
// A mono stream counts as one channel: the same sine reads 3.01 LU lower than
// on both channels of a stereo stream. Options.DualMono counts it as what a
// pair of loudspeakers makes of it.
package loudness

import "fmt"

// The rates that New accepts, in frames a second.
const (
	MinRate = 8000
	MaxRate = 384000
)

// Options adjust a measurement. The zero value is the standard one.
type Options struct {
	// DualMono doubles the power of a mono stream. It has no effect on stereo.
	DualMono bool
	// ClipLevel is the magnitude from which a sample counts as clipped; 0
	// means 32767/32768, the largest sample of a 16-bit file.
	ClipLevel float64
	// ClipRun is how many clipped samples of one sign in a row make a
	// clipped run; 0 means 3 (common practice, no source).
	ClipRun int
	// CutOff says that what the stream held above full scale was cut off before
	// it came here, as where it was decoded to 16 bits. See Result.AtLeast.
	CutOff bool
}

// A Meter measures one stream from its first frame. It belongs to one
// goroutine. It keeps 16 bytes for each 100 ms it has measured and allocates
// for nothing else.
type Meter struct {
	rate, channels int
	cutOff         bool
	block          *block
	levels         *levels
	peaks          *peaks
}

// New returns a meter for a stream of rate frames a second with one or two
// channels. Frames always carry two samples; of a mono stream only the first
// is read.
func New(rate, channels int, o Options) (*Meter, error) {
	if rate < MinRate || rate > MaxRate {
		return nil, fmt.Errorf("loudness: a sample rate of %d Hz cannot be measured, wanted %d to %d", rate, MinRate, MaxRate)
	}
	if channels != 1 && channels != 2 {
		return nil, fmt.Errorf("loudness: %d channels cannot be measured, wanted 1 or 2", channels)
	}
	if !(o.ClipLevel >= 0) || o.ClipRun < 0 {
		return nil, fmt.Errorf("loudness: a clip level of %v and a clip run of %d samples cannot be used, wanted 0 or more", o.ClipLevel, o.ClipRun)
	}
	return &Meter{
		rate:     rate,
		channels: channels,
		cutOff:   o.CutOff,
		block:    newBlock(channels),
		levels:   newLevels(rate, channels, o),
		peaks:    newPeaks(channels, o),
	}, nil
}

// Write measures the next frames. However a stream is cut into calls of
// Write, the result is the same to the last bit. It does not keep frames.
func (m *Meter) Write(frames [][2]float64) {
	for len(frames) > 0 {
		n := m.block.fill(frames)
		m.levels.add(m.block)
		m.peaks.add(m.block)
		frames = frames[n:]
	}
}

// Momentary returns the loudness of the last 400 ms in LUFS, renewed every
// 10 ms of the stream. Before 400 ms the missing part counts as silence.
func (m *Meter) Momentary() Level { return loudnessOf(m.levels.momentary) }

// ShortTerm returns the loudness of the last 3 s in LUFS, renewed every 10 ms
// of the stream. Before 3 s the missing part counts as silence.
func (m *Meter) ShortTerm() Level { return loudnessOf(m.levels.shortTerm) }
