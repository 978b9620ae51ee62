// Package pieces tells where a recording of a show runs with its music: in one piece, or
// in several where the show was held and went on.
//
// The first place is looked for in all of the music, by runs of blocks (package locate).
// From there the recording is followed block by block, forwards and backwards: a block is
// looked up about where it must lie, and where it does not, in all of the music that may
// be heard there at the earliest and at the latest, as no show goes back. What lies on one
// line is a piece. All pieces have one rate: it is the recorder's clock.
package pieces

import (
	"context"
	"math"

	"drylane/playback/internal/robust"
	"drylane/playback/locate"
)

// A Piece is a stretch in which the music runs. Times are seconds.
type Piece struct {
	From, To float64 // of the music
	At       float64 // in the recording, where From is heard
	Rate     float64 // of the recording for one of the music
}

// Heard is when a moment of the music is heard, if the piece has it or went on to it.
func (p Piece) Heard(at float64) float64 { return p.At + p.Rate*(at-p.From) }

// A Lie is where a recording lies.
type Lie struct {
	Pieces []Piece // in order; none where the music was not found
	// Offset is where the music's first frame lies in the recording, or would, by its
	// first piece. PPM is by how much the recorder's clock counts more, in millionths.
	Offset, PPM float64
	// On of the Of blocks that have sound lie on one of the pieces.
	On, Of int
	// Confidence, 0 to 1, is how sure it is that this is the music.
	Confidence float64
}

// block is how much of the recording is looked up at once.
const block = locate.BlockLength

const blockSeconds = float64(block) / locate.Rate

// A sight is a block that was found.
type sight struct{ heard, at, score float64 }

func (s sight) offset() float64 { return s.heard - s.at }

// Find follows a recording through the music. progress is told how much of it is done,
// 0 to 1.
func Find(ctx context.Context, music *locate.Music, sound *Sound, progress func(float64)) (Lie, error) {
	f := &follower{ctx: ctx, music: music, sound: sound, find: locate.NewFinder(music), progress: progress}
	first, confidence, err := f.anchor()
	if err != nil || confidence == 0 {
		return Lie{Of: f.blocks()}, err
	}
	f.tell(0.3)
	all, err := f.follow(first)
	if err != nil {
		return Lie{}, err
	}
	lie := f.lay(all)
	lie.Of, lie.Confidence = f.blocks(), confidence
	return lie, ctx.Err()
}

// A follower looks blocks up.
type follower struct {
	ctx      context.Context
	music    *locate.Music
	sound    *Sound
	find     *locate.Finder
	buf      [block]float32
	progress func(float64)
	done     float64
}

// tell says how much is done; it never falls.
func (f *follower) tell(part float64) {
	if part > f.done && f.progress != nil {
		f.done = part
		f.progress(part)
	}
}

func (f *follower) blocks() int { return len(f.sound.samples) / block }

// look looks up samples from a moment of the recording on.
func (f *follower) look(from, samples int, where locate.Span) []locate.Place {
	f.sound.At(f.buf[:samples], from)
	return f.find.Find(f.buf[:samples], where)
}

// near is the best place within slack seconds of one.
func (f *follower) near(from, samples int, at, slack float64) (locate.Place, bool) {
	for _, p := range f.look(from, samples, locate.Span{From: at - slack, To: at + slack}) {
		if math.Abs(p.At-at) <= slack {
			return p, true
		}
	}
	return locate.Place{}, false
}

const (
	// run is how many blocks in a row are asked for a first place, runs how many such are
	// tried, and firmly how sure a line must be.
	run    = 4
	runs   = 24
	firmly = 0.9
)

// anchor finds the first place: in the middle of the recording, then in its quarters, and
// so on. Confidence is 0 where there is none.
func (f *follower) anchor() (sight, float64, error) {
	n := f.blocks()
	for k := range min(runs, max(1, n-run+1)) {
		if err := f.ctx.Err(); err != nil {
			return sight{}, 0, err
		}
		first := int(vanDerCorput(k+1) * float64(max(0, n-run)))
		var seen []locate.Sighting
		for i := first; i < min(n, first+run); i++ {
			s := locate.Sighting{Heard: float64(i) * blockSeconds}
			s.Places = append(s.Places, f.look(i*block, block, locate.All)...)
			seen = append(seen, s)
		}
		f.tell(0.3 * float64(k+1) / runs)
		if len(seen) == 0 {
			continue
		}
		if l, ok := locate.FitLine(seen); ok && l.Confidence >= firmly && l.On >= 3 {
			return sight{seen[0].Heard, l.At(seen[0].Heard), l.Score}, l.Confidence, nil
		}
	}
	return sight{}, 0, nil
}

// vanDerCorput is the kth of points that fill 0 to 1 ever more densely.
func vanDerCorput(k int) float64 {
	out, part := 0.0, 0.5
	for ; k > 0; k >>= 1 {
		out += part * float64(k&1)
		part /= 2
	}
	return out
}

// lay makes pieces of blocks in order: one ends where the next block is on no line with it.
func (f *follower) lay(all []sight) Lie {
	groups := f.simplify(split(all))
	rate := rateOf(groups)
	lie := Lie{PPM: (rate - 1) * 1e6}
	for _, g := range groups {
		lie.On += len(g)
		lie.Pieces = append(lie.Pieces, pieceOf(g, rate))
	}
	f.bound(lie.Pieces)
	if len(lie.Pieces) > 0 {
		lie.Offset = lie.Pieces[0].Heard(0)
	}
	return lie
}

const (
	// jump is the least by which two pieces are apart; between blocks far from each other
	// clocks may run apart by as much as locate.MaxPPM besides.
	jump = 0.02
	// fewest is how many blocks a piece has at least.
	fewest = 2
)

// split parts blocks into those on one line each.
func split(all []sight) [][]sight {
	var parts [][]sight
	for _, s := range all {
		parts = extend(parts, s)
	}
	// What a stray block had parted belongs together.
	var kept [][]sight
	for _, g := range parts {
		if len(g) >= fewest {
			kept = extend(kept, g...)
		}
	}
	return kept
}

// extend adds blocks to the last group where the first of them is on its line, else as a
// group of their own.
func extend(groups [][]sight, more ...sight) [][]sight {
	if n := len(groups); n > 0 {
		last := groups[n-1][len(groups[n-1])-1]
		if math.Abs(more[0].offset()-last.offset()) <= jump+locate.MaxPPM*1e-6*(more[0].heard-last.heard) {
			groups[n-1] = append(groups[n-1], more...)
			return groups
		}
	}
	return append(groups, more)
}

// pieceOf is the piece of blocks, with a rate.
func pieceOf(g []sight, rate float64) Piece {
	offset := robust.Mean(crowd(offsets(g, rate)))
	last := g[len(g)-1]
	return Piece{From: g[0].at, To: last.at + blockSeconds, At: offset + rate*g[0].at, Rate: rate}
}
