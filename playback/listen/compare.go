package listen

import (
	"context"
	"slices"

	"drylane/playback"
	"drylane/playback/align"
)

// Compare is align.Compare of two files, or what was kept of that. What the comparison
// makes of one file alone is not kept: it takes 60 kB for each second of it, more than
// most of the files.
func Compare(ctx context.Context, a, b File, tell Tell) (align.Result, error) {
	both, err := Together(ctx, tell, &a, &b)
	if err != nil {
		return align.Result{}, err
	}
	known := []align.Verdict{align.Same, align.Partly, align.Different, align.TooLittle}
	return Remember(both, "compare", align.Version, func(r align.Result) bool { return slices.Contains(known, r.Verdict) },
		func() (align.Result, error) {
			return compare(ctx, a, b, func(part float64) { tell("comparing", part) })
		})
}

func compare(ctx context.Context, a, b File, progress func(float64)) (align.Result, error) {
	var streams [2]*playback.PassStream
	for i, f := range [...]File{a, b} {
		s, err := f.open()
		if err != nil {
			return align.Result{}, err
		}
		defer s.Close()
		streams[i] = s.PassStream(ctx, f.Open)
		defer streams[i].Close()
	}
	return align.Compare(ctx, streams[0], streams[1], align.Options{Progress: progress})
}
