// Package accents knows where the accents of a piece of music lie.
package accents

import (
	"context"

	"drylane/playback/listen"
	"drylane/playback/onset"
	"drylane/show/review"
)

// Find finds the onsets of a sound file.
func Find(ctx context.Context, f listen.File, tell listen.Tell) (*onset.Music, error) {
	var o listen.Onsets
	err := listen.To(ctx, f, tell, &o)
	return o.Music, err
}

// ForReview hands onsets over to the review, as times.
func ForReview(m *onset.Music) review.Music {
	out := review.Music{Length: m.Length.At(m.Rate)}
	for _, a := range m.Accents {
		out.Accents = append(out.Accents, review.Accent{At: a.At.At(m.Rate), Strength: a.Strength, Rise: a.Rise, Loud: a.Loud, Gain: a.Gain, Turn: a.Turn, Bass: a.Bass})
	}
	for _, b := range m.Beats {
		out.Beats = append(out.Beats, b.At(m.Rate))
	}
	return out
}
