package score

import "math"

// A pitch counts semitones as MIDI does: 69 is the A of 440 Hz.
type pitch int

// hz is the frequency of p in equal temperament.
func (p pitch) hz() float64 { return 440 * math.Pow(2, float64(p-69)/12) }

// The pitches that the melodies use; s stands for sharp, f for flat.
const (
	a4 pitch = 69 + iota
	bf4
	b4
	c5
	cs5
	d5
	ef5
	e5
	f5
	fs5
	g5
	gs5
	a5
	bf5
	b5
	c6
	cs6
	d6
	ef6
	e6
	f6
	fs6
	g6
	gs6
	a6
)

// A chord is a bass note and the three notes of the strings above it.
type chord struct {
	bass  pitch
	upper [3]pitch
}

// The chords, set so that the upper notes move little from one to the next.
var (
	dMinor   = chord{38, [3]pitch{57, 62, 65}}
	bFlat    = chord{34, [3]pitch{58, 62, 65}}
	fMajor   = chord{41, [3]pitch{57, 60, 65}}
	fOverA   = chord{33, [3]pitch{57, 60, 65}}
	cMajor   = chord{36, [3]pitch{55, 60, 64}}
	cOverE   = chord{40, [3]pitch{55, 60, 64}}
	gMinor   = chord{43, [3]pitch{58, 62, 67}}
	aMajor   = chord{33, [3]pitch{57, 61, 64}}
	aSeventh = chord{33, [3]pitch{55, 61, 64}}
	aMinor   = chord{33, [3]pitch{57, 60, 64}}
	dMajor   = chord{38, [3]pitch{57, 62, 66}}
	bMinor   = chord{35, [3]pitch{59, 62, 66}}
	gMajor   = chord{43, [3]pitch{59, 62, 67}}
)
