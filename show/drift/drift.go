// Package drift turns a shooter's taps into an answer that can be trusted:
// how late or early the cues are against the music, whether that holds for the
// whole show, and what to do about it.
//
// A tap is a key press at the moment the shooter hears the accent in the
// music that a cue belongs to. It says nothing about when the effect was seen:
// the cue's effect comes before or after that accent, by the residual
//
//	residual = effect time in force - (tap - bias - rest)
//
// where the bracket is the best guess at the moment of the accent. A positive
// residual is a cue that came late. Everything is in the heard time base:
// time from the start of the music, as it is audible. "In force" is the
// effect time of the cue list less the nudge that held when the cue was
// committed.
//
// Taps do not say which cue they belong to, so the package first finds the
// shift under which they fit the cue list best (search.go), then pairs taps
// and accents one to one and in order (match.go), and only then estimates.
// The package is deterministic: the same taps in any order give the same
// report.
package drift

import "time"

// An Effect is one cue as the taps are measured against.
type Effect struct {
	At   time.Duration // effect time in force, from the start of the music
	Lane string        // the position, or whatever the lanes are grouped by
	// Weight is how much the cue stands out against the others; 0 counts as
	// 1. Weights of cues at the same moment add up: a salvo stands out.
	Weight float64
}

// A Tap is one key press.
type Tap struct {
	Heard time.Duration // what was audible by the clock when the key went down
	// Lane limits the tap to cues of that lane; empty for any.
	Lane string
}

// Config says who taps, through which output, and how to look at the show.
type Config struct {
	// Bias is tap minus sound for this person: negative for one who taps
	// early, as most do. See Calibrate.
	Bias time.Duration
	// Rest is how much later than the heard clock says the sound reaches the
	// shooter, such as a wireless loudspeaker that does not report its delay.
	// A Bias calibrated through the same output includes it: leave it 0 then.
	Rest time.Duration
	// Reach is the largest shift looked for either way, at most MaxReach; 0 for
	// DefaultReach.
	// A wider reach needs more taps to tell shifts apart.
	Reach time.Duration
	// Sections are the boundaries between sections of the show, ascending, in
	// heard time. Without any, sections are cut at the longest pauses between
	// taps.
	Sections []time.Duration
}

// DefaultReach is the largest shift that is looked for unless Config says, and
// MaxReach the largest that Config can ask for: the most that a nudge can mend.
const (
	DefaultReach = 3 * time.Second
	MaxReach     = 10 * time.Second
)

// accentAt is the moment of the music that the tap is for: what the person
// heard, freed from the habits of the person and the output.
func (c Config) accentAt(t Tap) time.Duration { return t.Heard - c.Bias - c.Rest }

func (c Config) reach() time.Duration {
	if c.Reach <= 0 {
		return DefaultReach
	}
	return min(c.Reach, MaxReach)
}

// A Pair is a tap with the accent it belongs to.
type Pair struct {
	Tap      int   // index of the tap as given
	Cues     []int // indices of the cues of the accent: those that come at one moment
	At       time.Duration
	Residual time.Duration // positive: the cue came late
	// Outlier marks a residual too far from the others, Unclear a tap that
	// another accent explains nearly as well. Neither is counted.
	Outlier, Unclear bool
}

// counts reports whether the residual goes into estimates.
func (p Pair) counts() bool { return !p.Outlier && !p.Unclear }

// A Report is what the taps say.
type Report struct {
	Pairs []Pair // by time
	// LooseTaps are taps for which no cue was found; LooseCues are cues between
	// the first tap and the last that have no tap. Both by time.
	LooseTaps, LooseCues []int

	// Show is the estimate for the show, without a lane that stands apart.
	Show Estimate
	// Lanes are in order of name. An accent fired from several lanes counts
	// for each of them, unless the tap names one.
	Lanes    []Group
	Sections []Group
	Rate     Rate

	Verdict Verdict
}

// A Group is the estimate for one lane (Name) or section (From, To).
type Group struct {
	Name     string
	From, To time.Duration
	Estimate Estimate
	Alone    int // of a lane's taps, how many no other lane explains
}

// Sure reports whether a lane's figure is its own: most of its taps, and more than a
// stray or two, are explained by no other lane.
func (g Group) Sure() bool { return g.Alone > 2 && 2*g.Alone > g.Estimate.N }

// Analyse measures the cues against the taps. Neither needs to be in order.
func Analyse(cues []Effect, taps []Tap, cfg Config) Report {
	a := newAnalysis(cues, cfg)
	for _, t := range taps {
		a.add(t)
	}
	return a.report()
}
