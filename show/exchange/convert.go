package exchange

import (
	"fmt"
	"strconv"
	"time"

	"drylane/show"
)

// A Result is what became of a Table.
type Result struct {
	Cues    []show.Cue // in the order of the file; Line is the row they came from
	Skipped []Skip     // rows that gave no cue
	Notes   show.Problems
	Unused  []string // titles of the columns that went into no cue
	Rounded int      // times rounded to the millisecond
	Cleaned int      // texts from which line breaks or invisible characters were taken
	Blank   int      // rows with nothing in them
	Short   int      // rows with fewer fields than the table has columns
	More    int      // notes beyond those in Notes
	// Bare counts the shells without a prefire, of Shells: they would be fired
	// when they should be seen.
	Bare, Shells int
	// Times are the titles of those of Unused that look like times.
	Times []string
	// ThreeParts counts the times such as 1:02:03, in a file that leaves the
	// notation to be found out: the last part may be meant to count frames.
	ThreeParts int
	// Sources are the titles of the columns that each of ours was made from.
	Sources [ColumnCount][]string
}

// Convert makes cues from the rows of a table. An error, a show.Problems, means
// that the profile does not fit the table; what is wrong with a single row is
// in the result.
//
// A row without a time or a position, or with a time or a prefire that cannot
// be read, is skipped. Any other cell that cannot be read leaves its column
// empty and is kept, as text, in the cue's note. An id that is taken already
// gets a number behind it.
func Convert(t *Table, p Profile) (*Result, error) {
	if t.marker {
		p = p.forMarkers()
	}
	ps := p.check("", nowhere)
	set, more := p.Resolve(t)
	if ps = append(ps, more...); len(ps) > 0 {
		return nil, ps
	}
	c := converter{t: t, p: p, set: set, ids: map[string]int{}, res: &Result{}}
	if err := c.prepare(); err != nil {
		return nil, show.Problems{*err}
	}
	c.res.Skipped = append(c.res.Skipped, t.Skips...)
	c.res.Cues = make([]show.Cue, 0, len(t.Rows))
	for _, r := range t.Rows {
		c.row(r)
	}
	c.columns()
	return c.res, nil
}

// forMarkers is the profile for a table that we have written ourselves: only
// its mapping, fills, zero and whether the times are ignitions are in force.
func (p Profile) forMarkers() Profile {
	return Profile{
		Times: p.Times, Zero: p.Zero, Map: p.Map, Fill: p.Fill,
		PrefireUnit: Seconds, BurnUnit: Seconds, Decimal: ".",
	}
}

// A converter carries what is the same for all rows.
type converter struct {
	t    *Table
	p    Profile
	set  [ColumnCount][]int
	res  *Result
	ids  map[string]int // how often each id was met
	zero time.Duration

	effectAt, prefire, burn timeReader
}

// prepare settles the decimal character, the readers of times and the zero.
func (c *converter) prepare() *show.Problem {
	point := byte('.')
	switch c.p.Decimal {
	case ".", ",":
		point = c.p.Decimal[0]
	default:
		var both bool
		if point, both = sniffDecimal(c.numbers); both {
			return &show.Problem{
				Severity: show.SeverityStop, Code: show.CodeValue, File: c.t.Name,
				Found: "numbers with decimal points and numbers with decimal commas", Wanted: "--decimal . or --decimal , to say which it is",
			}
		}
	}
	rate := rateNamed(c.p.Rate)
	c.effectAt = timeReader{c.p.Notation, point, rate, false}
	c.prefire = timeReader{c.p.PrefireUnit, point, rate, true}
	c.burn = timeReader{c.p.BurnUnit, point, rate, true}
	if c.p.Zero == "" {
		return nil
	}
	zero, err := c.effectAt.read(c.p.Zero)
	if err != nil {
		return &show.Problem{Severity: show.SeverityStop, Code: show.CodeTime, Found: show.Quote(c.p.Zero) + " as zero", Wanted: err.Error()}
	}
	c.zero = zero
	return nil
}

// numbers yields the cells of the columns that hold numbers.
func (c *converter) numbers(yield func(string) bool) {
	for _, col := range [...]Column{EffectAt, IgniteAt, Prefire, Burn, Caliber} {
		for _, i := range c.set[col] {
			for _, r := range c.t.Rows {
				if i < len(r.Fields) && !yield(r.Fields[i]) {
					return
				}
			}
		}
	}
}

// columns lists the columns that cues were made from, and those of the others
// in which anything stands.
func (c *converter) columns() {
	used := make([]bool, c.t.Width)
	for col, set := range c.set {
		for _, i := range set {
			used[i] = true
			c.res.Sources[col] = append(c.res.Sources[col], c.t.Title(i))
		}
	}
	for i, u := range used {
		if !u && c.t.holds(i) {
			c.res.Unused = append(c.res.Unused, c.t.Title(i))
			if c.looksLikeTime(i) {
				c.res.Times = append(c.res.Times, c.t.Title(i))
			}
		}
	}
}

// holds reports whether anything stands in column i.
func (t *Table) holds(i int) bool {
	for _, r := range t.Rows {
		if r.cell(i) != "" {
			return true
		}
	}
	return false
}

// note adds a note, unless there are so many that nobody reads them.
func (c *converter) note(p show.Problem) {
	if len(c.res.Notes) >= maxFacts {
		c.res.More++
		return
	}
	c.res.Notes = append(c.res.Notes, p)
}

// id returns an id that no cue has yet.
func (c *converter) id(r Row, id string) string {
	if id == "" {
		if id = "row-" + strconv.Itoa(r.Line); len(c.set[Cue]) > 0 {
			c.note(c.t.problem(r, c.set[Cue][0], show.CodeMissing, "no cue", "an id for it; it is called "+id))
		}
		if len(c.set[Cue]) == 0 {
			id = strconv.Itoa(len(c.res.Cues) + 1)
		}
	}
	n := c.ids[id]
	c.ids[id]++
	if n == 0 {
		return id
	}
	first := id
	for n++; ; n++ {
		id = fmt.Sprintf("%s-%d", first, n)
		if c.ids[id] == 0 {
			break
		}
	}
	c.ids[first], c.ids[id] = n, 1
	field := -1
	if len(c.set[Cue]) > 0 {
		field = c.set[Cue][0]
	}
	c.note(c.t.problem(r, field, show.CodeDuplicate, "the cue "+show.Quote(first)+" again", "an id of its own; it is called "+id))
	return id
}
