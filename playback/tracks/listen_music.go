package tracks

import (
	"fmt"
	"math"
)

// A musicEar takes the master away from what it hears: what remains is the
// witness.
type musicEar struct {
	file        *File
	side        *Side
	music       *Music
	plain       []float64
	remains     []float64 // from around the witness
	from        int64     // file frame of the first of them
	heard, same float64   // power, and what it has in common with the master
	master      float64   // power of the master
	n           float64
}

// around is how far about the witness the remains are kept, in seconds.
const around = 0.1

func (m *Music) listener(f *File, s *Side) listener {
	e := &musicEar{file: f, side: s, music: m}
	if w := m.witness; w != nil {
		margin := int64(around * float64(f.Rate))
		e.from = max(w.start+s.Offset-margin, 0)
		e.remains = make([]float64, 0, w.length+2*margin)
	}
	return e
}

func (e *musicEar) hear(samples []float64, from int64) error {
	if cap(e.plain) < len(samples) {
		e.plain = make([]float64, len(samples))
	}
	plain := e.plain[:len(samples)]
	if err := e.music.plain(plain, from-e.side.Offset); err != nil {
		return err
	}
	for i, s := range samples {
		p := plain[i] * e.side.Gain
		if n := from + int64(i); e.music.witness != nil && n >= e.from && len(e.remains) < cap(e.remains) {
			e.remains = append(e.remains, s-p)
			continue // the witness is no part of the master
		}
		e.heard, e.same, e.master, e.n = e.heard+s*s, e.same+s*p, e.master+p*p, e.n+1
	}
	return nil
}

func (e *musicEar) verdict() (string, error) {
	likeness := 1.0
	if e.master > 0 && e.heard > 0 {
		likeness = e.same / math.Sqrt(e.heard*e.master)
	}
	if coarse := 30 * e.file.step(); likeness < 0.99 && e.master > coarse*coarse*e.n {
		return "", fmt.Errorf("found other music than the master's (correlation %.3f)", likeness)
	}
	text := fmt.Sprintf("music, frame for frame the master's (correlation %.4f)", likeness)
	if e.master == 0 {
		text = "music, which is silent on this side of the master"
	}
	if e.music.witness == nil {
		return text, nil
	}
	found, err := e.findWitness()
	return text + found, err
}

// findWitness finds where the witness begins in what the master leaves.
func (e *musicEar) findWitness() (string, error) {
	w := e.music.witness
	want := w.start + e.side.Offset
	level := w.tone.amplitude * e.side.Gain
	first := -1
	for i, s := range e.remains {
		if math.Abs(s) > max(2*e.file.step(), level/100) {
			first = i
			break
		}
	}
	if first < 0 {
		return "", fmt.Errorf("found no witness tone; wanted it at %s", e.file.clock(want))
	}
	at := e.from + int64(first)
	if late := at - want; late < 0 || late > int64(e.file.Rate/400) {
		return "", fmt.Errorf("found the witness tone at %s; wanted it at %s", e.file.clock(at), e.file.clock(want))
	}
	power, n := 0.0, 0
	soft := int(edge*float64(e.file.Rate)) + 1
	for i := int(want-e.from) + soft; i < min(int(want-e.from+w.length)-soft, len(e.remains)); i++ {
		power, n = power+e.remains[i]*e.remains[i], n+1
	}
	got := decibels(math.Sqrt(2 * power / float64(max(n, 1))))
	const within = 1 // dB: where music and tone together are clipped, the tone loses
	if math.Abs(got-decibels(level)) > within {
		return "", fmt.Errorf("found the witness tone at %.1f dBFS; wanted %.1f: the music leaves it no room, lower its gain", got, decibels(level))
	}
	return fmt.Sprintf(", with a witness of %g Hz at %s and %.1f dBFS", float64(w.tone.milliHz)/1000, e.file.clock(want), got), nil
}
