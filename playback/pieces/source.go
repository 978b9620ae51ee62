package pieces

import (
	"context"
	"math"

	"drylane/playback/locate"
)

// A Reader hands out the recording in order.
type Reader struct {
	sound *Sound
	next  int
}

// Reader reads the recording from its first sample on.
func (s *Sound) Reader() *Reader { return &Reader{sound: s} }

// Read fills dst as far as there is any.
func (r *Reader) Read(ctx context.Context, dst []float32) (int, error) {
	n := r.sound.At(dst, r.next)
	r.next += n
	return n, ctx.Err()
}

// A Played hands out the music as the recording has it: silence where it stands still. It
// goes by the nearest sample, a sixteenth of a millisecond at most beside its place.
type Played struct {
	music  *locate.Music
	pieces []Piece
	next   int
	left   int
}

// Played is the music on the recording's clock, as long as the recording.
func (l Lie) Played(music *locate.Music, sound *Sound) *Played {
	return &Played{music: music, pieces: l.Pieces, left: len(sound.samples)}
}

// Read fills dst as far as there is any.
func (p *Played) Read(ctx context.Context, dst []float32) (int, error) {
	n := min(len(dst), p.left)
	clear(dst[:n])
	for from := 0; from < n; from += straight {
		p.fill(dst[from:min(n, from+straight)], p.next+from)
	}
	p.next, p.left = p.next+n, p.left-n
	return n, ctx.Err()
}

// straight is how many samples are taken from the music in a row: by then clocks are apart
// by less than a tenth of a sample.
const straight = 512

func (p *Played) fill(dst []float32, from int) {
	heard := float64(from) / locate.Rate
	for _, c := range p.pieces {
		at := c.From + (heard-c.At)/c.Rate
		if at >= c.From-float64(straight)/locate.Rate && at < c.To {
			p.music.Samples(dst, int(math.Round(at*locate.Rate)))
		}
	}
}
