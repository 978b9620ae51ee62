// Package bangs finds the bangs in a recording of a show for which the music is known,
// and not in the music: in what is there beyond the music's part.
//
// Both are looked at in bands of frequency, a few milliseconds at a time. What a band
// of the recording owes to the music is a sum of the music's power in that band, now and
// over the last second and a half as rooms and fields throw it back, and of a steady
// noise; the factors are fitted stretch by stretch (expect.go), a Wiener filter's
// estimate of the unwanted part (Lim and Oppenheim, Proc. IEEE 67(12), 1979). A bang is
// a moment at which many bands rise at once above that and above what was there just
// before (rise.go): a drum of the music is expected, a gust rises slowly and in the
// lowest bands alone, clapping in the high ones.
package bangs

import "context"

// Hz is the frames a second of the sound that Find is given.
const Hz = 8000

// A Bang is one that was found.
type Bang struct {
	At float64 // in seconds of the recording
	// Rise is how far the recording rises above what was expected, a mean over the
	// bands in nepers of power.
	Rise float64
}

// A Source hands out sound in order: Read fills dst as far as there is any and returns
// how much it was; less than asked is the end.
type Source interface {
	Read(ctx context.Context, dst []float32) (int, error)
}

// Find returns the bangs of a recording in order. Music is the soundtrack on the
// recording's clock, where it is heard in it, silence where it is not; it may end
// earlier. Both are mono at Hz.
func Find(ctx context.Context, recording, music Source) ([]Bang, error) {
	var f finder
	rec, mus := newBands(recording), newBands(music)
	for {
		a, err := rec.block(ctx)
		if err != nil {
			return nil, err
		}
		b, err := mus.block(ctx)
		if err != nil {
			return nil, err
		}
		if len(a) == 0 {
			return f.done(), nil
		}
		f.take(a, b)
	}
}
