package drift

import (
	"cmp"
	"math"
	"slices"
	"time"
)

// A Listener is somebody who taps from a place of the field.
type Listener struct {
	Name  string
	Place string // where they stand; empty: not told
	// Way is how much later than the main audience they hear the music there, by the
	// way of its sound; negative: earlier. For ForMusic it is from where the music is
	// made. Placed says that it is known.
	Way    time.Duration
	Placed bool
	// Habit is how they tap, as measured; nil: it was not.
	Habit *Tapper
	Clock time.Duration // how far wrong the times of their taps may be, either way
	Taps  []Tap         // heard: by the music where it is made
}

// A Tapper is how somebody taps, by a Calibration.
type Tapper struct {
	Bias, Scatter time.Duration
	Taps          int // counted
}

// A Heard is what the taps of one listener tell.
type Heard struct {
	*Listener
	// Report is for the main audience: the way of the sound to where they stand and
	// their habit are taken off.
	Report Report
	Counts bool // it is joined with the others
}

// A Place is what the taps of all who stand there tell.
type Place struct {
	Name      string
	Way       time.Duration
	Listeners []string
	// There is how late the cues are as they are seen and heard at that place, For how
	// late they are for the main audience, by what was heard there.
	There time.Duration
	For   Estimate
}

// Places are the taps of several listeners joined.
//
// What a listener taps on is the music as it comes to where they stand. Its way there
// is known from the field, their habit from a calibration; with both taken off, every
// place tells the same thing: how late the cues are, as the main audience sees and hears
// them. Each listener's figure has the interval of Analyse, and besides
//
//   - calibrated, the error of the calibration, and dayToDay; else the scatter of
//     people about the usual habit, with the error of that itself, which all have in
//     common;
//   - that of the shared clock, which is anywhere within its bound;
//   - for a place, the error of where it is (placing), and of the air (airing).
//
// Listeners are pooled at each place, and then the places (see pooled). Where Cochran's
// Q of the places is past chance, they disagree by more than sound explains, and nothing
// is told for all.
type Places struct {
	Heard  []Heard // all, in the order in which they were given
	Places []Place // nearest to the music first
	// Show is how late the cues are for the main audience; Spread is what sets places
	// apart beyond their errors.
	Show    Estimate
	Chance  float64 // of places so far apart, if nothing but their errors sets them apart
	Verdict Verdict // PlacesApart, TooFew, TooWide, InPlace, InSpread or Nudge
	whom    string
}

// Whom the joined figures are for.
const (
	ForAudience = "for the main audience"
	ForMusic    = "where the music is made" // nobody knows when it comes to the audience
)

// PlacesApart is the code of places that disagree, besides those of one listener. Lane is
// the place that stands apart, if it is one.
const PlacesApart Code = "places-apart"

// Whom says for whom the joined figures are: ForAudience or ForMusic.
func (j *Places) Whom() string { return j.whom }

// What is known of people and of places. A person's mean of taps against a metronome
// lies 30 to 65 ms before it, by group and by study, less with music; people are apart
// by a standard deviation of up to 36 ms (Repp 2005; see hardlyEarlier).
const (
	usualHabit = -30 * time.Millisecond
	usualError = 0.020 // s, of usualHabit itself
	personal   = 0.036 // s, from person to person
	dayToDay   = 0.015 // s, of one person, from a calibration to a show: an allowance, no source
	placing    = 0.010 // s: some 3 m of where somebody stands: an allowance, no source
	airing     = 0.020 // of the way: 10 °C and a light wind change the speed of sound by so much
)

// JoinPlaces measures the cues against the taps of several listeners, for whom their ways
// are reckoned from: ForAudience or ForMusic. reach is as in Config.
func JoinPlaces(cues []Effect, listeners []Listener, whom string, reach time.Duration) Places {
	j := Places{whom: whom}
	sites := map[string]*site{}
	for i := range listeners {
		h := hear(cues, &listeners[i], reach)
		j.Heard = append(j.Heard, h)
		if !h.Counts {
			continue
		}
		if sites[h.Place] == nil {
			sites[h.Place] = &site{Place: Place{Name: h.Place, Way: h.Way}}
		}
		sites[h.Place].add(h)
	}
	var list []*site
	for _, s := range sites {
		list = append(list, s.pool())
	}
	slices.SortFunc(list, func(a, b *site) int { return cmp.Or(cmp.Compare(a.Way, b.Way), cmp.Compare(a.Name, b.Name)) })
	for _, s := range list {
		j.Places = append(j.Places, s.Place)
	}
	j.join(list)
	return j
}

// hear analyses one listener's taps.
func hear(cues []Effect, l *Listener, reach time.Duration) Heard {
	bias := usualHabit
	if l.Habit != nil {
		bias = l.Habit.Bias
	}
	h := Heard{Listener: l, Report: Analyse(cues, l.Taps, Config{Bias: bias, Rest: l.Way, Reach: reach})}
	switch h.Report.Verdict.Code {
	case InPlace, InSpread, Nudge, TooWide, LaneApart: // one figure, and where it lies
		h.Counts = l.Placed
	}
	return h
}

// A site is a place with the figures of those who stand there.
type site struct {
	Place
	list  []measured
	loose float64 // share of the weight of those who are not calibrated
	all   measured
}

// quantile975 bounds 95 % of a normal distribution, either way.
const quantile975 = 1.959963984540054

func (s *site) add(h Heard) {
	e := h.Report.Show
	sd := (e.High - e.Low).Seconds() / 2 / quantile975
	v := sd*sd + square(h.Clock.Seconds())/3
	if h.Habit == nil {
		v += personal * personal
		s.loose += 1 / v
	} else {
		// A median's variance is pi/2 times that of a mean (for large samples).
		v += dayToDay*dayToDay + math.Pi/2*square(h.Habit.Scatter.Seconds())/float64(max(1, h.Habit.Taps))
	}
	s.Listeners = append(s.Listeners, h.Name)
	s.list = append(s.list, measured{(e.Low + (e.High-e.Low)/2).Seconds(), v})
	s.For.N += e.N
}

func square(x float64) float64 { return x * x }

// pool makes the place's figure of its listeners'.
func (s *site) pool() *site {
	var weight float64
	for _, m := range s.list {
		weight += 1 / m.variance
	}
	s.loose /= weight
	p := pool(s.list)
	p.variance += square(placing) + square(airing*s.Way.Seconds()) + square(usualError*s.loose)
	s.all = measured{p.mean, p.variance}
	s.For = estimateOf(s.For.N, p.mean, p.variance, p.tau)
	s.There = s.For.Offset - s.Way
	return s
}

func estimateOf(n int, mean, variance, tau float64) Estimate {
	half := quantile975 * math.Sqrt(variance)
	return Estimate{n, seconds(mean), seconds(mean - half), seconds(mean + half), seconds(math.Sqrt(tau))}
}

// join pools the places and judges.
func (j *Places) join(list []*site) {
	j.Chance = 1
	if len(list) > 0 {
		n, loose, weight := 0, 0.0, 0.0
		for _, s := range list {
			n += s.For.N
			loose, weight = loose+s.loose/s.all.variance, weight+1/s.all.variance
		}
		p := poolSites(list, nil)
		j.Show = estimateOf(n, p.mean, p.variance+square(usualError*loose/weight), p.tau)
		j.Chance = p.chance
	}
	j.judge(list)
}

// poolSites pools all places but one; nil leaves out none.
func poolSites(list []*site, but *site) pooled {
	var all []measured
	for _, s := range list {
		if s != but {
			all = append(all, s.all)
		}
	}
	return pool(all)
}
