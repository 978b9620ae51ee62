package recording

import (
	"context"

	"drylane/playback/align"
	"drylane/playback/listen"
	"drylane/playback/pieces"
	"drylane/show/hear"
)

// Compare is listen.Compare that knows a recording, too: where b is not a's music as a
// file has it, it listens for it through a room.
func Compare(ctx context.Context, a, b listen.File, tell listen.Tell) (align.Result, error) {
	r, err := listen.Compare(ctx, a, b, tell)
	if err != nil || r.Verdict != align.Different && r.Verdict != align.Partly {
		return r, err
	}
	known := func(v align.Result) bool { return v.Verdict == align.Recorded || v.Verdict == r.Verdict }
	both, err := listen.Together(ctx, tell, &a, &b)
	if err != nil {
		return r, err
	}
	return listen.Remember(both, "recorded", align.Version, known, func() (align.Result, error) { return throughAir(ctx, a, b, r, tell) })
}

// throughAir is r, or where the music of a is in a recording b.
func throughAir(ctx context.Context, a, b listen.File, r align.Result, tell listen.Tell) (align.Result, error) {
	var m soundtrackWish
	if err := listen.To(ctx, a, tell, &m); err != nil {
		return r, err
	}
	var w recordingWish
	if err := listen.To(ctx, b, tell, &w); err != nil {
		return r, err
	}
	lie, err := pieces.Find(ctx, m.music, w.sound, func(part float64) { tell("placing", part) })
	if err != nil || len(lie.Pieces) == 0 || lie.Confidence < sure || lie.On < leastBlocks {
		return r, err
	}
	if lie.Likeness(m.music, w.sound) > fileLike {
		return r, nil // another edit of the file
	}
	first, last := lie.Pieces[0], lie.Pieces[len(lie.Pieces)-1]
	return align.Result{
		Verdict: align.Recorded, Polarity: 1, Cause: align.CauseOf(lie.PPM, rateError), Holds: heldIn(lie),
		OffsetMs: 1000 * lie.Offset, RatePPM: lie.PPM, RateErrorPPM: rateError, Confidence: lie.Confidence,
		WindowsUsed: lie.On, WindowsTotal: lie.Of, FromMs: 1000 * first.From, ToMs: 1000 * last.To,
	}, nil
}

// rateError is how far, in ppm, the rate of a recording may be out, as a standard error.
const rateError = 2

// heldIn are the stops of the music in a recording.
func heldIn(lie pieces.Lie) []align.Held {
	var out []align.Held
	for _, h := range (hear.Recording{Pieces: piecesOf(lie)}).Holds() {
		if h.Length > 0 {
			out = append(out, align.Held{AtMs: 1000 * h.At.Seconds(), LengthMs: 1000 * h.Length.Seconds()})
		}
	}
	return out
}

// fileLike is the likeness above which something is a copy, and no microphone's.
const fileLike = 0.8

// leastBlocks is how many blocks of a recording must lie on the music.
const leastBlocks = 4
