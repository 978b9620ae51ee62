// Package fired makes, for tests and tools only, recordings of shows that were
// fired: the music from its loudspeakers and the bangs from the field as a
// telephone among the audience takes them in, with all that is between. Nothing
// that is shipped imports it, and it takes no figure from what estimates.
package fired

import (
	"math"
	"math/rand/v2"
	"time"

	"drylane/show"
)

// Rate is the frames a second of music and recordings here.
const Rate = 16000

// A Plan is what goes wrong on a night, and how hard it is to hear.
type Plan struct {
	Late         time.Duration // the whole list, positive late
	Position     string        // that one position is off by PositionLate besides
	PositionLate time.Duration
	Caliber      float64 // shells of that size break CaliberLate later than their prefire says
	CaliberLate  time.Duration
	Growth       float64 // seconds of lateness a second of show
	Holds        int
	Wind, Crowd  float64 // levels beside the music's, as ratios of amplitudes
	Bangs        float64 // peak of a 100 mm break at 150 m beside the music's level
	Clip         float64 // where the recorder clips, as a part of the largest peak; 1 for nowhere
	Echo         float64 // level of what walls and ground throw back, 1 as usual

	// Applause is a recording of people who clap, and Breaks are recordings of bangs, at
	// Rate, that are heard in place of those that are made here; nil without.
	Applause []float64
	Breaks   [][]float64
}

// Usual draws a plan with nothing wrong: what nights differ in. The music of a show has
// some 85 to 95 dB where people stand, a break has a peak of 110 to 120.
func Usual(r *rand.Rand) Plan {
	return Plan{
		Wind: 0.05 + 0.5*r.Float64(), Crowd: 0.05 + 0.35*r.Float64(), Bangs: 5 * math.Pow(8, r.Float64()),
		Clip: between(r, 0.3, 1), Echo: between(r, 0.3, 1.2),
	}
}

// A Hold is a stop of music and cues.
type Hold struct{ At, Length time.Duration }

// A Night is a show as it was fired, and how it was recorded.
type Night struct {
	Plan
	// Offset is where the first frame of the music lies in the recording, PPM how much
	// more frames than true ones the recorder counts, in millionths.
	Offset float64 // seconds
	PPM    float64
	Holds  []Hold // in order
	// Fired are the bangs by show's cue: when each was made, in seconds of the night,
	// which begin with the music. NaN for none.
	Fired []float64
	// Heard are the sounds of the field as they come to the recorder, in no order. It
	// is filled in by Record.
	Heard []Sound

	show   *show.Show
	rand   *rand.Rand
	c      float64 // speed of sound, m/s
	mic    place
	length float64 // of the music, seconds
	tall   float64 // how much higher than told shells break tonight
	talls  map[float64]float64
}

// A Sound is one of the field that comes to the recorder.
type Sound struct {
	Cue  int     // its place in the show
	At   float64 // in seconds of the recording
	Loud float64 // its peak beside the music's level
	Main bool    // the cue's own moment; not a lift, nor a later shot
}

// New draws a night for a show. length is that of the music.
func New(r *rand.Rand, s *show.Show, length time.Duration, p Plan) *Night {
	n := &Night{
		Plan: p, show: s, rand: r, length: length.Seconds(),
		Offset: between(r, -15, 40), PPM: between(r, -60, 60),
		// Another formula than the program's, and another temperature than told.
		c:    331.3 + 0.606*(s.Air.TemperatureC+between(r, -4, 4)),
		mic:  place{between(r, -2, 2), between(r, -2, 2), 1.5},
		tall: math.Exp(0.06 * r.NormFloat64()), talls: map[float64]float64{},
	}
	n.hold()
	for _, c := range s.Cues {
		n.Fired = append(n.Fired, n.fire(c))
	}
	return n
}

// hold draws the holds: none in the first or the last seconds, none near another.
func (n *Night) hold() {
	part := (n.length - 20) / float64(max(n.Plan.Holds, 1))
	for i := range n.Plan.Holds {
		at := 10 + (float64(i)+between(n.rand, 0.2, 0.8))*part
		n.Holds = append(n.Holds, Hold{seconds(at), seconds(between(n.rand, 2, 25))})
	}
}

// night is the second of the night in which the music is at a second of its own, after
// a hold at it.
func (n *Night) night(show float64) float64 {
	out := show
	for _, h := range n.Holds {
		if h.At.Seconds() <= show {
			out += h.Length.Seconds()
		}
	}
	return out
}

// fire draws when a cue's effect was: one that was lit before a hold breaks in it.
func (n *Night) fire(c show.Cue) float64 {
	if n.rand.Float64() < 0.03 {
		return math.NaN()
	}
	late := n.Late.Seconds() + n.Growth*c.EffectAt.Seconds()
	if c.Position == n.Position {
		late += n.PositionLate.Seconds()
	}
	flight := c.Prefire.Seconds()
	if flight > 0.5 {
		flight *= math.Exp(0.012 * n.rand.NormFloat64()) // of time fuses, about the mean
		if c.Caliber == n.Caliber {
			flight += n.CaliberLate.Seconds()
		}
	}
	return n.night(c.IgniteAt().Seconds()) + late + flight + 0.004*n.rand.NormFloat64()
}

func between(r *rand.Rand, lo, hi float64) float64 { return lo + (hi-lo)*r.Float64() }

func seconds(s float64) time.Duration { return time.Duration(s * float64(time.Second)) }
