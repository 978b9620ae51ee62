package drill

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"
	"time"
)

// A Progress is how people went on from one drill to the next.
type Progress struct {
	People []*Person // by name
}

// A Person is one of them.
type Person struct {
	Name   string // may be empty
	Runs   int
	Drills []*Course  // by level, then name
	Kinds  []*Reading // in the order in which measures are documented
}

// A Course is the runs of one drill, the oldest first.
type Course struct {
	Drill, Title string
	Level        int
	Runs         []Mark
	Trend        Trend // of the scores
}

// A Mark is the score of one run.
type Mark struct {
	Began    time.Time
	Session  string
	Score    int
	Scored   bool
	Finished bool
}

// A Reading is what one kind of measure came to in all drills, the oldest
// first. Runs that were not finished are not in it.
type Reading struct {
	Kind   Kind
	Values []Sample
	Trend  Trend // of those that are not endless
}

// A Sample is one value.
type Sample struct {
	Began time.Time
	Drill string
	Value Value
}

// A Trend is how much something changed over a number of runs, by the median
// of the slopes between any two of them (Theil and Sen).
type Trend struct {
	Runs int
	// Known says that there were runs enough to tell; Sure, that the change is
	// not chance: the 95 % interval of the slope holds no zero.
	Known, Sure bool
	Change      float64 // from the first run to the last, in the measure's unit
}

// fewestRuns is how many runs a trend needs.
const fewestRuns = 4

// NewProgress sorts results by person, drill and kind of measure, in order of
// when they began. Runs that were not finished are listed with their drill and
// count in no trend.
func NewProgress(results []*Result) *Progress {
	results = slices.Clone(results)
	slices.SortStableFunc(results, func(a, b *Result) int { return a.Began.Compare(b.Began) })
	p := &Progress{}
	for _, res := range results {
		p.person(res.Person).add(res)
	}
	slices.SortFunc(p.People, func(a, b *Person) int { return cmp.Compare(a.Name, b.Name) })
	for _, who := range p.People {
		who.sum()
	}
	return p
}

// person finds a person, whatever the case of the name, or makes a new one.
func (p *Progress) person(name string) *Person {
	for _, who := range p.People {
		if strings.EqualFold(who.Name, name) {
			return who
		}
	}
	who := &Person{Name: name}
	p.People = append(p.People, who)
	return who
}

// add takes the next result of the person's.
func (who *Person) add(res *Result) {
	who.Runs++
	i := slices.IndexFunc(who.Drills, func(c *Course) bool { return c.Drill == res.Drill })
	if i < 0 {
		i = len(who.Drills)
		who.Drills = append(who.Drills, &Course{Drill: res.Drill})
	}
	c := who.Drills[i]
	c.Title, c.Level = res.Title, res.Level // the latest, where the file was changed
	c.Runs = append(c.Runs, Mark{res.Began, res.Session, res.Score, res.Scored, res.Finished})
	if !res.Finished {
		return
	}
	for _, l := range res.Lines {
		if l.Grade != LeftOut {
			who.reading(l.Kind).add(Sample{res.Began, res.Drill, l.Value})
		}
	}
}

func (who *Person) reading(k Kind) *Reading {
	for _, r := range who.Kinds {
		if r.Kind == k {
			return r
		}
	}
	r := &Reading{Kind: k}
	who.Kinds = append(who.Kinds, r)
	return r
}

func (r *Reading) add(s Sample) { r.Values = append(r.Values, s) }

// sum works out the trends.
func (who *Person) sum() {
	slices.SortFunc(who.Drills, func(a, b *Course) int {
		return cmp.Or(cmp.Compare(a.Level, b.Level), cmp.Compare(a.Drill, b.Drill))
	})
	slices.SortStableFunc(who.Kinds, func(a, b *Reading) int {
		return cmp.Compare(slices.Index(kinds, a.Kind), slices.Index(kinds, b.Kind))
	})
	for _, c := range who.Drills {
		var t trender
		for _, m := range c.Runs {
			if m.Scored && m.Finished {
				t.add(m.Began, float64(m.Score))
			}
		}
		c.Trend = t.trend()
	}
	for _, r := range who.Kinds {
		var t trender
		for _, s := range r.Values {
			if !s.Value.Endless() {
				t.add(s.Began, float64(s.Value))
			}
		}
		r.Trend = t.trend()
	}
}

// Latest returns the value of the latest run.
func (r *Reading) Latest() string { return r.Kind.Words(r.Values[len(r.Values)-1].Value) }

// First returns the value of the first run.
func (r *Reading) First() string { return r.Kind.Words(r.Values[0].Value) }

// Best returns the least value.
func (r *Reading) Best() string {
	best := Endless()
	for _, s := range r.Values {
		best = min(best, s.Value)
	}
	return r.Kind.Words(best)
}

// Words says how the values went on.
func (r *Reading) Words() string {
	words := r.Trend.words(r.Kind.directions())
	endless, yes := 0, 0
	for _, s := range r.Values {
		switch {
		case s.Value.Endless():
			endless++
		case s.Value > 0:
			yes++
		}
	}
	switch {
	case r.Kind.unit() == "yes":
		return fmt.Sprintf("yes in %d of %d", yes, len(r.Values))
	case endless > 0:
		return fmt.Sprintf("%s; never in %d of %d", words, endless, len(r.Values))
	}
	return words
}

// Words says how the scores went on.
func (c *Course) Words() string { return c.Trend.words("down", "up", " points", 0) }

// directions are the words for a change to less and to more, the unit, and to
// how many decimals a change is told.
func (k Kind) directions() (less, more, unit string, decimals int) {
	switch {
	case k == Residual:
		return "nearer", "further off", " s", 2
	case k.unit() == "s":
		return "faster", "slower", " s", 1
	}
	return "fewer", "more", "", 1
}

// words says plainly what the trend is.
func (t Trend) words(less, more, unit string, decimals int) string {
	if !t.Known {
		return "too few runs to tell"
	}
	scale := math.Pow10(decimals)
	by := Value(math.Round(scale*math.Abs(t.Change)) / scale)
	if by == 0 {
		return fmt.Sprintf("no change over %d runs", t.Runs)
	}
	way := more
	if t.Change < 0 {
		way = less
	}
	s := fmt.Sprintf("%s by %s%s over %d runs", way, by.text(), unit, t.Runs)
	if !t.Sure {
		s += ", which may be chance"
	}
	return s
}

// Last is the latest run.
func (c *Course) Last() Mark { return c.Runs[len(c.Runs)-1] }
