// Package synth makes short sounds by calculation: the reports that stand for
// effects in a rehearsal, test tones, noise and a metronome click.
//
// All sounds are mono, in -1..+1, and the same on every run. Levels are in
// dBFS, where 0 dBFS is the level of a sine whose peaks reach full scale.
package synth

// A Kind is what a report should make the ear think of: one for each family of
// effects, in the order in which the families are listed everywhere.
type Kind uint8

// The kinds of report.
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

var kindNames = [KindCount]string{"other", "shell", "salute", "comet", "mine", "candle", "cake", "fountain", "flame"}

// String returns the kind's name in the singular.
func (k Kind) String() string {
	if k >= KindCount {
		return kindNames[Other]
	}
	return kindNames[k]
}
