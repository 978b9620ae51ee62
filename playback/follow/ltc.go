package follow

import (
	"fmt"

	"drylane/playback/ltc"
)

// ltcStretch is over how long linear timecode is measured to tell rates 0.1 % apart,
// in seconds: a sample is then 21 ppm at 48 kHz.
const ltcStretch = 1

// passEvery is how often a reader looks whether code has stopped, in parts of a
// second.
const passEvery = 200

// An LTC follows linear timecode in sound.
type LTC struct {
	Follower
	decoder *ltc.Decoder
	n       int // samples written
}

// NewLTC returns a reader of sound of cfg.SampleRate samples a second.
func NewLTC(cfg Config) (*LTC, error) {
	r := &LTC{Follower: *newFollower(cfg, ltcStretch)}
	var err error
	r.decoder, err = ltc.NewDecoder(cfg.SampleRate, func(f ltc.Frame) {
		r.add(Label{Timecode: f.Timecode, Start: f.Start, Length: f.Length, Frames: 1, Reverse: f.Reverse})
	})
	if err != nil {
		return nil, fmt.Errorf("cannot follow: %w", err)
	}
	return r, nil
}

// Write reads on. It allocates nothing.
func (r *LTC) Write(samples []float64) {
	for step := r.cfg.SampleRate / passEvery; len(samples) > 0; {
		n := min(step, len(samples))
		r.decoder.Write(samples[:n])
		samples = samples[n:]
		r.n += n
		r.pass(float64(r.n))
	}
}
