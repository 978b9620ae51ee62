// Package align tells whether two files are the same music and, if they are,
// where the second lies against the first: how much later it starts and how
// much slower it runs.
//
// Both files are read once and kept as mono at about 11 kHz. A coarse search
// correlates band-wise changes of level over segments of the first file with
// the second, over all offsets and a set of speed ratios. The best candidates
// are then measured on the waveform itself with GCC-PHAT (Knapp and Carter,
// IEEE Trans. ASSP 24(4), 1976) in windows along the whole track, the second
// file being read through the candidate line so that only a small lag is left
// to find. A robust line through those lags is the answer.
package align

import (
	"context"
	"errors"
	"fmt"
	"math"
	"time"

	"github.com/faiface/beep"
	"golang.org/x/sync/errgroup"
)

// Audio is a soundtrack to be compared: a stream that knows its own rate.
// Compare reads it from frame 0 to its end, once. Two Audios that are compared
// must not share a stream, as both are read at the same time.
type Audio interface {
	beep.StreamSeeker
	Rate() int // frames a second
}

// A Source makes an Audio of any stream and its rate.
type Source struct {
	beep.StreamSeeker
	SampleRate int // frames a second
}

// Rate returns the frames a second.
func (s Source) Rate() int { return s.SampleRate }

// Version numbers the comparison: a Result that was kept of another is not used.
const Version = 2

// DefaultMaxOffset is how far apart the starts of two files are looked for
// unless Options says otherwise.
const DefaultMaxOffset = 90 * time.Second

// maxLength is the longest soundtrack that is read. It bounds the memory that
// an endless stream can take: about 60 kB a second of sound.
const maxLength = 2 * time.Hour

// Options changes how Compare works. The zero value is ready for use.
type Options struct {
	// MaxOffset is the largest offset searched, either way; 0 means
	// DefaultMaxOffset. A larger one costs time in proportion.
	MaxOffset time.Duration
	// Progress, unless nil, is called with the share of the work done, from 0
	// to 1 and never falling. Calls do not overlap, but may come from any
	// goroutine.
	Progress func(done float64)
	// SameRateOnly leaves out the speed ratios of a wrong sample rate or frame
	// rate, and looks for clock errors of up to 1500 ppm alone.
	SameRateOnly bool
}

// A Verdict is what Compare came to.
type Verdict string

// The verdicts. Every Result has one of these.
const (
	// Same: four fifths of the windows or more lie on one line.
	Same Verdict = "same"
	// Partly: some of the music is shared and lies on one line, the rest is
	// not: another edit, a cut, a dropout, or other music laid over it.
	Partly Verdict = "partly"
	// Different: no line explains the two.
	Different Verdict = "different"
	// Recorded: the same music as a microphone took it in, through a room or from a
	// field. Compare does not give it; who listens for that does.
	Recorded Verdict = "recorded"
	// TooLittle: silence, steady tones or a few seconds; nothing to go by.
	TooLittle Verdict = "too little"
)

// A Result says how B lies against A. With times in each file's own clock
// (frame number over nominal rate), the moment t of A sounds in B at
//
//	offset_ms/1000 + (1 + rate_ppm/1e6) * t
//
// Unless Verdict is Same, Partly or Recorded, only Verdict and Quiet mean anything; the
// window counts are then those of the last line that was tried.
type Result struct {
	Verdict Verdict `json:"verdict"`
	Same    bool    `json:"same"` // Verdict == Same
	// OffsetMs is where the start of A lies in B, in milliseconds: positive
	// when B's music comes later. If B lacks its head this is extrapolated.
	OffsetMs float64 `json:"offset_ms"`
	// RatePPM is how much longer B takes over the same music, in parts per
	// million: positive when B runs slow. RateErrorPPM is its standard error.
	RatePPM      float64 `json:"rate_ppm"`
	RateErrorPPM float64 `json:"rate_error_ppm"`
	// SpreadMs is the standard deviation of the windows about the line.
	SpreadMs float64 `json:"spread_ms"`
	// Confidence, 0 to 1, that B is A's music and lies as OffsetMs and RatePPM
	// say. It is a score, not a probability: the share of windows on the line,
	// lowered when little of the sound is shared or there are few windows, and
	// 0.4 at most when Ambiguous.
	Confidence float64 `json:"confidence"`
	// Shared is the part of the sound, 0 to 1, that the windows on the line
	// have in common: a mean correlation over third-octave bands.
	Shared float64 `json:"shared"`
	// GainDB is the level of B's copy of the music against A.
	GainDB float64 `json:"gain_db"`
	// Polarity is +1, or -1 when B is upside down.
	Polarity int `json:"polarity"`
	// Swapped is set when left and right are exchanged.
	Swapped bool `json:"swapped"`
	// Reversed is the side of B, "left" or "right", whose polarity is reversed
	// against A while the other's is not; "" where there is none.
	Reversed string `json:"reversed,omitempty"`
	// AMissing and BMissing are the side, "left" or "right", that is silent in the
	// one file and not in the other. OneSide is the only side of A that is in B,
	// where it is not the sum of both.
	AMissing string `json:"a_missing,omitempty"`
	BMissing string `json:"b_missing,omitempty"`
	OneSide  string `json:"one_side,omitempty"`
	// LacksStartMs and LacksEndMs are how much of A's music, from its first sound
	// and up to its last, B does not hold; 0 for less than 250 ms.
	LacksStartMs float64 `json:"lacks_start_ms,omitempty"`
	LacksEndMs   float64 `json:"lacks_end_ms,omitempty"`
	// WindowsTotal counts the windows with enough sound where the two files
	// overlap; WindowsUsed those of them that lie on the line.
	WindowsUsed  int `json:"windows_used"`
	WindowsTotal int `json:"windows_total"`
	// FromMs and ToMs bound the part of A that was found in B.
	FromMs float64 `json:"from_ms"`
	ToMs   float64 `json:"to_ms"`
	// Ambiguous is set when the music repeats itself so closely that it lies
	// as well at AlternativeMs, an offset like OffsetMs.
	Ambiguous     bool    `json:"ambiguous"`
	AlternativeMs float64 `json:"alternative_ms"`
	// Cause is the likely cause of a rate error, or CauseNone.
	Cause Cause `json:"cause"`
	// Quiet tells which file has too little sound: "a", "b", "both" or "".
	Quiet string `json:"quiet"`
	// Holds are the stops of the music in a recording, in order; OffsetMs is then that of
	// the music before the first.
	Holds []Held `json:"holds,omitempty"`
}

// Held is a stop of the music: at a moment of A, and how much longer B takes.
type Held struct {
	AtMs     float64 `json:"at_ms"`
	LengthMs float64 `json:"length_ms"`
}

// Compare reads both files and tells how b lies against a. Two files that are
// not the same music are a Result, not an error; errors are a stream that
// cannot be read, samples that are no numbers, a rate or length outside of
// what is possible, and a context that is done.
func Compare(ctx context.Context, a, b Audio, opts Options) (Result, error) {
	if opts.MaxOffset < 0 {
		return Result{}, fmt.Errorf("align: the largest offset is %v, want 0 or more", opts.MaxOffset)
	}
	if opts.MaxOffset == 0 {
		opts.MaxOffset = DefaultMaxOffset
	}
	p := newProgress(opts.Progress)
	var ta, tb *track
	g, gctx := errgroup.WithContext(ctx)
	g.Go(func() (err error) {
		ta, err = readTrack(gctx, a, both, p.part(0.35))
		return named(err, "the first file")
	})
	g.Go(func() (err error) {
		tb, err = readTrack(gctx, b, both, p.part(0.35))
		return named(err, "the second file")
	})
	if err := g.Wait(); err != nil {
		return Result{}, err
	}
	res, err := compareTracks(ctx, ta, tb, opts, p)
	if err == nil && !res.Same {
		res, err = hearOtherwise(ctx, a, b, ta, tb, res, opts)
	}
	if err == nil {
		p.finish()
	}
	return res, err
}

// named says which file an error is about, except that the context's own
// errors need no file.
func named(err error, which string) error {
	if err == nil || errors.Is(err, context.Canceled) || errors.Is(err, context.DeadlineExceeded) {
		return err
	}
	return fmt.Errorf("align: %s: %w", which, err)
}

// compareTracks is Compare once both files are read. The one that is much shorter
// is looked for in the other: of a longer one too few stretches lie within it.
func compareTracks(ctx context.Context, a, b *track, opts Options, p *progress) (Result, error) {
	if b.seconds() >= a.seconds()/2 {
		res, err := findIn(ctx, a, b, opts, p)
		res.measureLack(a, b)
		return res, err
	}
	res, err := findIn(ctx, b, a, opts, p)
	res.exchange()
	res.measureLack(a, b)
	return res, err
}

// findIn tells how b lies against a.
func findIn(ctx context.Context, a, b *track, opts Options, p *progress) (Result, error) {
	res := Result{Verdict: TooLittle, Polarity: 1, Quiet: quiet(a, b)}
	if res.Quiet != "" {
		return res, nil
	}
	ratios := baseRatios
	if opts.SameRateOnly {
		ratios = ratios[:1]
	}
	c := newComparison(a, b, opts.MaxOffset)
	// The other ratios cost as much again each, and one of them can only be
	// right where ratio 1 is wrong.
	found, err := c.search(ctx, ratios[:1], p.part(0.05))
	if err == nil && len(ratios) > 1 && !found.convincing() {
		var rest ranking
		rest, err = c.search(ctx, ratios[1:], p.part(0.15))
		if err == nil && len(rest) > 0 {
			found = found.merge(rest)
		}
	}
	if err != nil {
		return Result{}, err
	}
	return c.judge(ctx, found)
}

// db is a ratio of amplitudes in decibels.
func db(ratio float64) float64 { return 20 * math.Log10(ratio) }
