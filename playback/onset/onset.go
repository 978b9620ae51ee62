// Package onset finds where things begin in music: the accents that an effect
// could be placed on, how strong each is, and the beat beneath them.
//
// The onset strength is SuperFlux (S. Böck and G. Widmer, "Maximum filter
// vibrato suppression for onset detection", DAFx-13, 2013): the magnitude
// spectrum through 24 filters an octave, as logarithms, and of those the rises
// over the greatest of three neighbouring bands some time before, so that a
// wavering pitch does not count as a rise. Onsets are its peaks over a
// moving mean, picked as in S. Böck, F. Krebs and M. Schedl, "Evaluating the
// online capabilities of onset detection methods", ISMIR 2012. Differences to
// the published program are marked where they are. No parameter was learned
// from data beyond the few constants in this package, which are the same for
// all music.
//
// Beats follow D. P. W. Ellis, "Beat tracking by dynamic programming", Journal
// of New Music Research 36(1), 2007, with a tempo that may change.
package onset

import (
	"context"
	"io"

	"drylane/playback"
	"drylane/show/timebase"
)

// An Accent is a moment at which something begins.
type Accent struct {
	At timebase.Frame
	// Strength is how much sets in and how loud it is: 1 is as at the strong
	// accents of this piece (their 95th percentile); it may exceed 1.
	Strength float64
	// Rise is how much sets in, Loud how loud it is then, and Gain by how much
	// louder than just before: each is 1 at this piece's 95th percentile, too.
	Rise, Loud, Gain float64
	// Turn is by how much what sounds for a fifth of a second from then on is another
	// sound than just before, loud or not: another chord. Bass is the same of the bass
	// alone. Both are 1 at this piece's 95th percentile.
	Turn, Bass float64
}

// Music is what was found in a soundtrack.
type Music struct {
	Rate    int            // frames a second
	Length  timebase.Frame // of the soundtrack
	Accents []Accent       // in order of time
	Beats   []timebase.Frame
	// Tempo is the beats a minute that holds longest, 0 without any beats.
	Tempo float64
}

// Analyse decodes a whole soundtrack once, on all cores, and finds its onsets.
// name and open are as for playback.Pass. progress, if not nil, is told from
// one goroutine how much of total is done. The memory used does not depend on
// the length but for some 30 bytes each hundredth of a second.
//
// The error is that of the soundtrack or of ctx.
func Analyse(ctx context.Context, name string, open func() (io.ReadSeekCloser, error), progress func(done, total timebase.Frame)) (*Music, error) {
	rate, length, err := measure(name, open)
	if err != nil {
		return nil, err
	}
	d := NewDetector(rate)
	defer d.Close()
	err = playback.Pass(ctx, name, open, func(start timebase.Frame, frames [][2]float64) error {
		d.Add(frames)
		if progress != nil {
			progress(min(start+timebase.Frame(len(frames)), length), length)
		}
		return nil
	})
	if err != nil {
		return nil, err
	}
	return d.Music(), nil
}

func measure(name string, open func() (io.ReadSeekCloser, error)) (rate int, length timebase.Frame, err error) {
	f, err := open()
	if err != nil {
		return 0, 0, err
	}
	s, err := playback.Open(name, f)
	if err != nil {
		return 0, 0, err
	}
	defer s.Close()
	return s.Rate(), timebase.Frame(s.Len()), nil
}
