package score

import "drylane/playback/internal/dsp"

// An instrument turns notes into sound.
type instrument int

const (
	violins instrument = iota
	bass
	bell
	pluck
	horn
	kick
	snare
	hat
	tom
	timpani
	cymbal
	instruments
)

// A voice is an instrument's way of sounding and its place in the mix.
type voice struct {
	sound func(n note, rand *dsp.Rand) []float64
	gain  float64
	send  float64 // how much of it goes to the reverberation
}

// The mix: strings and bass carry, drums and horn lead.
var voices = [instruments]voice{
	violins: {soundViolin, 0.075, 0.5},
	bass:    {soundBass, 0.22, 0.05},
	bell:    {soundBell, 0.20, 0.45},
	pluck:   {soundPluck, 0.34, 0.35},
	horn:    {soundHorn, 0.27, 0.4},
	kick:    {soundKick, 0.50, 0.05},
	snare:   {soundSnare, 0.42, 0.25},
	hat:     {soundHat, 0.25, 0.1},
	tom:     {soundTom, 0.40, 0.3},
	timpani: {soundTimpani, 0.34, 0.4},
	cymbal:  {soundCymbal, 0.34, 0.3},
}
