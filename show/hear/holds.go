package hear

import "time"

// A Hold is a stop of the music and the cues that a recording has in it.
type Hold struct {
	At     time.Duration // of the soundtrack
	Begin  time.Duration // in the recording
	Length time.Duration
}

// Holds are those of the recording, in order.
func (r Recording) Holds() []Hold {
	var out []Hold
	for i := 1; i < len(r.Pieces); i++ {
		before, p := r.Pieces[i-1], r.Pieces[i]
		begin := before.Heard(p.From)
		out = append(out, Hold{At: p.From, Begin: begin, Length: time.Duration(float64(p.At-begin) / p.Rate)})
	}
	return out
}
