package drift

import (
	"fmt"
	"hash/fnv"
	"os"
	"slices"
	"strings"
	"testing"
	"time"
)

// halfOf is the half that a name belongs to, by its hash: the second was not looked at
// while the model was made.
func halfOf(name string) int {
	h := fnv.New32a()
	h.Write([]byte(name))
	return int(h.Sum32() >> 8 & 1)
}

var halves = [2]string{"tuned", "held back"}

// A crew of listeners, and what is true of their trial.
type simCrew struct {
	cues      []Effect
	listeners []Listener
	late      time.Duration // of the cues, for the main audience
	apart     string        // the place whose way is not what it is taken for; empty: none
}

// crew draws a show and one to three listeners at each of the places. Ways reach from the
// speakers, where the music is heard before the main audience has it, to the far side.
// People tap as the literature has them, and as no calibration knows to the millisecond;
// nobody stands just where they said, nor is the air as it was written down.
func (s simulation) crew(kind string, places int, taps int, names []string) simCrew {
	w := s.show(kind, taps*3/2+4)
	c := simCrew{late: s.between(-800*time.Millisecond, 800*time.Millisecond)}
	usual := s.between(-65*time.Millisecond, 0)
	air := 0.015 * s.NormFloat64()
	if places > 1 && s.IntN(2) == 0 {
		c.apart = fmt.Sprint("place ", s.IntN(places))
	}
	for p := range places {
		place := fmt.Sprint("place ", p)
		way := s.between(-700*time.Millisecond, 500*time.Millisecond)
		really := way + time.Duration(air*float64(way)) + time.Duration(8e6*s.NormFloat64())
		if place == c.apart {
			really += []time.Duration{-1, 1}[s.IntN(2)] * s.between(50*time.Millisecond, 500*time.Millisecond)
		}
		for range 1 + s.IntN(3) {
			if len(names) == 0 {
				break
			}
			l := Listener{Name: names[0], Place: place, Way: way, Placed: true, Clock: 5 * time.Millisecond}
			names = names[1:]
			bias := usual + time.Duration(36e6*s.NormFloat64())
			today := bias + time.Duration(12e6*s.NormFloat64())
			if s.IntN(2) == 0 {
				l.Habit = &Tapper{Bias: bias + time.Duration(9e6*s.NormFloat64()), Scatter: 35 * time.Millisecond, Taps: 24}
			}
			l.Taps = s.taps(w, taps, today+really+s.between(-5*time.Millisecond, 5*time.Millisecond))
			c.listeners = append(c.listeners, l)
		}
	}
	c.cues = late(w.cues, c.late)
	return c
}

// A tally of what was told.
type tally struct{ trials, advised, right, apart, apartRight, named, namedRight, planted, silent int }

func (a *tally) count(c simCrew, j Places) {
	a.trials++
	if c.apart != "" && slices.ContainsFunc(j.Places, func(p Place) bool { return p.Name == c.apart }) && len(j.Places) > 1 {
		a.planted++
	}
	switch v := j.Verdict; v.Code {
	case Nudge, InPlace, InSpread:
		a.advised++
		if j.Show.Low <= c.late && c.late <= j.Show.High {
			a.right++
		}
	case PlacesApart:
		a.apart++
		if c.apart != "" {
			a.apartRight++
		}
		if v.Lane != "" {
			a.named++
			if v.Lane == c.apart {
				a.namedRight++
			}
		}
	default:
		a.silent++
	}
}

// Of what is told of simulated listeners 95 in 100 is right: that the cues lie within
// the interval, that places disagree, and which of them is the one that does. Both
// halves of the listeners are printed; DRYLANE_TRIALS=1 makes ten times as many.
func TestPlacesAreRight(t *testing.T) {
	t.Parallel()
	trials := 40
	switch {
	case os.Getenv("DRYLANE_TRIALS") != "":
		trials = 600
	case testing.Short():
		trials = 12
	}
	var names [2][]string
	for i := 0; len(names[0]) < 15 || len(names[1]) < 15; i++ {
		name := fmt.Sprint("listener ", i)
		names[halfOf(name)] = append(names[halfOf(name)], name)
	}
	for half, name := range halves {
		var all tally
		for i := range trials {
			s := simulate(uint64(10_000*(half+1) + i))
			c := s.crew([]string{"sparse", "dense"}[i%2], 1+i%5, []int{8, 14, 24, 40}[i%4], names[half])
			all.count(c, JoinPlaces(c.cues, c.listeners, ForAudience, 0))
		}
		t.Logf("%s: %+v", name, all)
		for _, told := range []struct {
			what        string
			right, told int
		}{{"intervals", all.right, all.advised}, {"places that disagree", all.apartRight, all.apart}, {"places named", all.namedRight, all.named}} {
			// One or two wrong among few are no rate.
			if wrong := told.told - told.right; wrong > 2 && 20*wrong > told.told {
				t.Errorf("%s, %s: %d of %d are right", name, told.what, told.right, told.told)
			}
		}
		if all.advised == 0 || trials > 12 && (all.apart == 0 || 2*all.apart < all.planted) {
			t.Errorf("%s: too little is told: %+v", name, all)
		}
	}
}

// Three places hear the music 0, 300 and 600 ms after the speakers make it; the main
// audience is the second. Each taps right when the music comes to where they stand, 200 ms
// before cues that were written on the music and lie 200 ms late.
func TestPlacesByHand(t *testing.T) {
	t.Parallel()
	cues, _ := slowShow()
	taps := func(way int) (list []Tap) {
		for i, c := range cues {
			// A scatter of a pattern whose middle is 0.
			list = append(list, Tap{Heard: c.At + time.Duration(way-200+[]int{-20, 0, 20}[i%3])*time.Millisecond})
		}
		return list
	}
	calibrated := &Tapper{Scatter: 20 * time.Millisecond, Taps: 24}
	at := func(name, place string, way int, heard int) Listener {
		return Listener{Name: name, Place: place, Way: time.Duration(way-300) * time.Millisecond, Placed: true, Habit: calibrated, Taps: taps(heard)}
	}
	all := []Listener{at("Ada", "speakers", 0, 0), at("Ben", "main audience", 300, 300), at("Cyd", "bridge", 600, 600)}
	j := JoinPlaces(cues, all, ForAudience, 0)
	// For the main audience the music comes 300 ms later than at the speakers, and the
	// light does not: cues 200 ms late at the speakers are 100 ms early there.
	if (j.Show.Offset+100*time.Millisecond).Abs() > 5*time.Millisecond || j.Show.N != 36 || j.Verdict.Code != Nudge || j.Verdict.Nudge != -100*time.Millisecond {
		t.Errorf("%+v, %+v", j.Show, j.Verdict)
	}
	if want := "suggest LATER 0.1 s for the main audience: the cues are 0.10 s early there (3 places, 36 taps, between "; !strings.HasPrefix(j.Verdict.Text, want) {
		t.Errorf("%q, want %q", j.Verdict.Text, want)
	}
	for i, there := range []int{200, -100, -400} { // at the speakers, for the audience, on the bridge
		if p := j.Places[i]; (p.There - time.Duration(there)*time.Millisecond).Abs() > 6*time.Millisecond {
			t.Errorf("%s: %v late there, want %d ms", p.Name, p.There, there)
		}
	}
	// The bridge hears the music 250 ms later than its distance says.
	all[2] = at("Cyd", "bridge", 600, 850)
	if j = JoinPlaces(cues, all, ForAudience, 0); j.Verdict.Code != PlacesApart || j.Verdict.Lane != "bridge" || j.Verdict.Nudge != 0 {
		t.Errorf("%+v", j.Verdict)
	}
	if want := "cannot tell: by bridge the cues are 0.25 s earlier than by the other places, more than sound explains"; !strings.HasPrefix(j.Verdict.Text, want) {
		t.Errorf("%q, want %q", j.Verdict.Text, want)
	}
	// Of two that disagree nobody can say which is wrong.
	if j = JoinPlaces(cues, all[1:], ForAudience, 0); j.Verdict.Code != PlacesApart || j.Verdict.Lane != "" ||
		!strings.HasPrefix(j.Verdict.Text, "cannot tell: by main audience the cues are 0.25 s later than by bridge") {
		t.Errorf("%+v", j.Verdict)
	}
}

// Taps whose place is not known, or that fit nothing, are told of and do not count.
func TestPlacesLeaveOut(t *testing.T) {
	t.Parallel()
	cues, taps := slowShow(100, 110, 90, 100, 100, 110, 90, 100)
	few := taps[:3]
	j := JoinPlaces(cues, []Listener{
		{Name: "Ada", Taps: taps}, {Name: "Ben", Place: "hill", Taps: taps}, {Name: "Cyd", Place: "hill", Placed: true, Taps: few},
	}, ForAudience, 0)
	if j.Verdict.Code != TooFew || len(j.Places) != 0 || j.Verdict.Text != "cannot tell: no listener at a known place has tapped enough" {
		t.Errorf("%+v", j.Verdict)
	}
	var why []string
	for _, h := range j.Heard {
		why = append(why, h.Why())
	}
	if want := []string{"no place was told", "when the music comes there is not known", "too few taps: 3 more"}; !slices.Equal(why, want) {
		t.Errorf("%q, want %q", why, want)
	}
	// One who is not calibrated is known less well than one who is.
	sure := JoinPlaces(cues, []Listener{{Place: "hill", Placed: true, Taps: taps, Habit: &Tapper{Bias: usualHabit, Scatter: 30 * time.Millisecond, Taps: 24}}}, ForAudience, 0).Show
	unsure := JoinPlaces(cues, []Listener{{Place: "hill", Placed: true, Taps: taps}}, ForAudience, 0).Show
	if sure.Offset != unsure.Offset || unsure.High-unsure.Low < 2*(sure.High-sure.Low) {
		t.Errorf("calibrated %+v, not %+v", sure, unsure)
	}
}
