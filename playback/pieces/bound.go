package pieces

import "drylane/playback/locate"

const (
	// short is the block that ends of pieces are felt for with, stride from one to the
	// next; felt is the score from which the music is there.
	short  = locate.Rate / 2
	stride = locate.Rate / 8
	felt   = 3.5
	// around is how far about its place, in seconds, a short block is looked for.
	around = 0.003
	// inside is how far within a piece, in seconds, its end is felt for from: its last block
	// may be half without music. missing is how many strides without it are the end.
	inside  = 1.5 * blockSeconds
	missing = 10
)

// bound finds where the pieces begin and end: the music goes on where it was held.
func (f *follower) bound(pieces []Piece) {
	for i := range pieces {
		p := &pieces[i]
		if i == 0 {
			f.begin(p, max(0, p.From-p.At/p.Rate))
		}
		if i+1 == len(pieces) {
			f.end(p, f.music.Length())
			continue
		}
		next := &pieces[i+1]
		f.end(p, next.From+blockSeconds)
		f.begin(next, max(p.From, p.To-2*blockSeconds))
		held := min(max((p.To+next.From)/2, p.From), next.To)
		next.At, next.From, p.To = next.Heard(held), held, held
	}
}

// end follows a piece from the last block but one on to where the music is no more.
func (f *follower) end(p *Piece, most float64) {
	at := max(p.From, p.To-inside)
	last, missed := at, -missing
	for ; at < most && missed < missing; at += float64(stride) / locate.Rate {
		if missed++; f.there(p, at) {
			last, missed = at, 0
		}
	}
	// A short block is found while more than a half or so of it has the music.
	p.To = min(most, last+0.75*float64(short)/locate.Rate)
}

// begin follows a piece back to where the music sets in.
func (f *follower) begin(p *Piece, least float64) {
	at := min(p.To, p.From+inside) - float64(short)/locate.Rate
	first, missed := at, -missing
	for ; at > least && missed < missing; at -= float64(stride) / locate.Rate {
		if missed++; f.there(p, at) {
			first, missed = at, 0
		}
	}
	first = max(least, first+0.25*float64(short)/locate.Rate)
	p.At, p.From = p.Heard(first), first
}

// there reports whether the music's moment is heard where the piece has it.
func (f *follower) there(p *Piece, at float64) bool {
	from := int(p.Heard(at) * locate.Rate)
	q, ok := f.near(from, short, at, around)
	return ok && q.Score >= felt
}
