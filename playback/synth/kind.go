// Package synth makes short sounds by calculation: the bangs that stand for
// effects in a rehearsal, test tones, noise and a metronome click.
//
// All sounds are mono, in -1..+1, and the same on every run. Levels are in
// dBFS, where 0 dBFS is the level of a sine whose peaks reach full scale.
package synth

// A Kind is what a bang should make the ear think of. What the families of
// effects are called, and which bang is whose, is not for here.
type Kind uint8

// The kinds of bang.
const (
	Other Kind = iota
	Shell
	Salute
	Comet
	Mine
	Candle
	Cake
	Fountain
	Flame
	KindCount // how many there are
)
