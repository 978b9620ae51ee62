package score

import (
	"math"

	"drylane/playback/internal/dsp"
	"drylane/playback/synth"
)

const (
	peakLevel    = -1.0  // dBFS, of the finished piece
	witnessLevel = -12.0 // dBFS, of the witness tone
)

// Render plays the piece into memory: Length frames, each sample on one of the
// 65,536 steps of 16 bits (k/32768), so that a 16-bit file holds it exactly.
func (s *Score) Render() [][2]float64 {
	dry, wet := make([][2]float64, s.Length), make([][2]float64, s.Length)
	for i, notes := range s.notes {
		for k, n := range notes {
			rand := dsp.Rand(i*1_000_000 + k)
			mix(dry, wet, voices[i], n, &rand)
		}
	}
	reverberate(dry, wet)
	master(dry)
	addWitness(dry)
	quantise(dry)
	return dry
}

// mix sounds one note and adds it to the stage and to the hall.
func mix(dry, wet [][2]float64, v voice, n note, rand *dsp.Rand) {
	if int(n.at) >= len(dry) {
		return
	}
	sound := v.sound(n, rand)
	angle := (n.pan + 1) * math.Pi / 4 // equal power from side to side
	left, right := v.gain*math.Cos(angle), v.gain*math.Sin(angle)
	for i, x := range sound {
		at := int(n.at) + i
		if at >= len(dry) {
			return
		}
		dry[at][0] += left * x
		dry[at][1] += right * x
		wet[at][0] += v.send * left * x
		wet[at][1] += v.send * right * x
	}
}

// reverberate adds the hall's answer to what was sent to it, 15 ms late.
func reverberate(dry, wet [][2]float64) {
	const late, level = Rate * 15 / 1000, 0.3
	h := newHall(1.9)
	for i := range len(dry) - late {
		l, r := h.next(wet[i][0], wet[i][1])
		dry[i+late][0] += level * l
		dry[i+late][1] += level * r
	}
}

// master takes out what is too low to hear, rounds off the highest peaks,
// brings the piece to its level and fades its last two seconds.
func master(mix [][2]float64) {
	const rounding = 1.5 // where the highest peak stands on the curve
	peak := 0.0
	for c := range 2 {
		low := dsp.HighPass(28, 0.7, Rate)
		for i := range mix {
			mix[i][c] = low.Next(mix[i][c])
			peak = max(peak, math.Abs(mix[i][c]))
		}
	}
	gain := dsp.Gain(peakLevel) / math.Tanh(rounding)
	for i := range mix {
		fade := min(1, float64(len(mix)-1-i)/(2*Rate))
		for c := range 2 {
			mix[i][c] = fade * gain * math.Tanh(rounding*mix[i][c]/peak)
		}
	}
}

// addWitness lays the tone over the finished piece, the same on both sides.
func addWitness(mix [][2]float64) {
	at, n := int(WitnessAt.Seconds()*Rate), int(WitnessFor.Seconds()*Rate)
	gain := dsp.Gain(witnessLevel - synth.ToneLevel)
	for i, x := range synth.Tone(1000, Rate, n) {
		mix[at+i][0] += gain * x
		mix[at+i][1] += gain * x
	}
}

// quantise rounds to 16 bits with a triangular dither of one step, so that
// the rounding error is a steady hiss and not a distortion of the quiet parts.
func quantise(mix [][2]float64) {
	const scale = 1 << 15
	rand := dsp.Rand(16)
	for i := range mix {
		for c := range 2 {
			dither := 0.5 * (rand.Bipolar() + rand.Bipolar())
			mix[i][c] = max(-scale, min(scale-1, math.Round(mix[i][c]*scale+dither))) / scale
		}
	}
}
