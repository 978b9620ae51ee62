package exchange

import (
	"fmt"
	"maps"
	"slices"
	"strconv"
	"strings"

	"drylane/show"
	"drylane/show/timebase"
)

// What the times in a file mean.
const (
	TimesEffect   = "effect"   // when the audience should see it
	TimesIgnition = "ignition" // when it is fired
)

// Units of a caliber.
const (
	Millimetres = "mm"
	Inches      = "inch"
)

// A Profile says how to read a file. Its zero value leaves everything to be found
// out from the file, and takes columns only by our own names.
type Profile struct {
	Format
	Times       string // TimesEffect unless set
	Notation    string // of effect_at: one of Notations, or Auto
	Rate        string // of frames: the name of a timebase.Rate
	Zero        string // the time in the file at which the music starts, in Notation
	Decimal     string // "." or "," or Auto
	PrefireUnit string // one of Notations, or Auto
	BurnUnit    string // likewise
	CaliberUnit string // Millimetres unless set
	// Map gives the columns of the file that each of ours is made from. Only
	// Effect and Note take more than one; no refs at all means that the column
	// is left empty.
	Map map[Column][]Ref
	// Fill is what stands in a column where the file has nothing.
	Fill map[Column]string
}

// A Ref is a column of a file: its name, or its number from 1 if that is not 0.
type Ref struct {
	Name   string
	Number int
}

// String returns the ref as ParseRef reads it.
func (r Ref) String() string {
	if r.Number != 0 {
		return strconv.Itoa(r.Number)
	}
	if _, err := strconv.Atoi(r.Name); err == nil {
		return strconv.Quote(r.Name)
	}
	return r.Name
}

// ParseRef reads a column's number or its name; a name that is a number stands
// in quotes.
func ParseRef(s string) Ref {
	s = strings.TrimSpace(s)
	if n, err := strconv.Atoi(s); err == nil && n > 0 {
		return Ref{Number: n}
	}
	if name, err := strconv.Unquote(s); err == nil {
		s = name
	}
	return Ref{Name: s}
}

// SetMap adds column=REF to the mapping, as a command line gives it: a second
// ref for effect or note is added to the first; an empty ref leaves the column
// empty.
func (p *Profile) SetMap(s string) error {
	c, value, err := assignment(s, "--map", `--map effect_at="Break (s)" or --map cue=3`)
	if err != nil {
		return err
	}
	if p.Map == nil {
		p.Map = map[Column][]Ref{}
	}
	if value == "" {
		p.Map[c] = []Ref{}
		return nil
	}
	p.Map[c] = append(p.Map[c], ParseRef(value))
	return nil
}

// SetFill adds column=text to what stands where the file has nothing.
func (p *Profile) SetFill(s string) error {
	c, value, err := assignment(s, "--fill", `--fill position="Left"`)
	if err != nil {
		return err
	}
	if p.Fill == nil {
		p.Fill = map[Column]string{}
	}
	p.Fill[c] = clean(value)
	return nil
}

// Overlay puts the mappings and fills of q over those of p, column by column.
func (p *Profile) Overlay(q Profile) {
	refs, fills := map[Column][]Ref{}, map[Column]string{}
	maps.Copy(refs, p.Map)
	maps.Copy(refs, q.Map)
	maps.Copy(fills, p.Fill)
	maps.Copy(fills, q.Fill)
	p.Map, p.Fill = refs, fills
}

func assignment(s, flag, example string) (Column, string, error) {
	name, value, ok := strings.Cut(s, "=")
	c, known := columnNamed(strings.TrimSpace(name))
	switch {
	case !ok:
		return 0, "", fmt.Errorf("%s: found %s; wanted a column and what it is, such as %s", flag, show.Quote(s), example)
	case !known:
		return 0, "", fmt.Errorf("%s: found %s as a column; wanted one of %s", flag, show.Quote(name), strings.Join(Columns[:], ", "))
	}
	return c, strings.TrimSpace(value), nil
}

// names are the column names that the profile maps.
func (p Profile) names() []string {
	var names []string
	for _, refs := range p.Map {
		for _, r := range refs {
			if r.Number == 0 {
				names = append(names, r.Name)
			}
		}
	}
	return names
}

// A setting is one of the profile's values with those that it may have.
type setting struct {
	key     string
	value   *string
	allowed []string // nil: anything
}

// settings are all but the mapping, by their names in a profile's file.
func (p *Profile) settings() []setting {
	var rates []string
	for _, r := range timebase.Rates {
		rates = append(rates, r.String())
	}
	auto := func(list ...string) []string { return append([]string{Auto}, list...) }
	units := auto(Notations...)
	return []setting{
		{"encoding", &p.Encoding, auto(Encodings...)},
		{"delimiter", &p.Delimiter, nil},
		{"quotes", &p.Quotes, auto(QuotesDouble, QuotesNone)},
		{"header", &p.Header, nil},
		{"times", &p.Times, []string{TimesEffect, TimesIgnition}},
		{"notation", &p.Notation, units},
		{"rate", &p.Rate, rates},
		{"zero", &p.Zero, nil},
		{"decimal", &p.Decimal, auto(".", ",")},
		{"prefire_unit", &p.PrefireUnit, units},
		{"burn_unit", &p.BurnUnit, units},
		{"caliber_unit", &p.CaliberUnit, []string{Millimetres, Inches}},
	}
}

// Settings returns, for a guide, the values that the setting named key may
// have; the first of them is what it is when it is not set.
func Settings(key string) []string {
	for _, s := range new(Profile).settings() {
		if s.key == key {
			return s.allowed
		}
	}
	return nil
}

// Setting returns a pointer to the setting named key, nil if there is none.
func (p *Profile) Setting(key string) *string {
	for _, s := range p.settings() {
		if s.key == key {
			return s.value
		}
	}
	return nil
}

// check notes what the profile may not say. file and place say where a setting
// stands, if it comes from a file.
func (p Profile) check(file string, place func(key string) (line, column int)) show.Problems {
	var ps show.Problems
	add := func(key, found, wanted string) {
		line, column := place(key)
		ps = append(ps, show.Problem{Severity: show.SeverityStop, Code: show.CodeValue, File: file, Line: line, Column: column, Found: found, Wanted: wanted})
	}
	for _, s := range p.settings() {
		if s.key == "rate" && rateNamed(p.Rate).Valid() {
			continue // by another name
		}
		if *s.value != "" && s.allowed != nil && !slices.Contains(s.allowed, *s.value) {
			add(s.key, show.Quote(*s.value)+" as "+s.key, "one of "+strings.Join(s.allowed, ", "))
		}
	}
	for c := range ColumnCount {
		if refs := p.Map[c]; len(refs) > 1 && c != Note && c != Effect {
			add(c.String(), fmt.Sprintf("%d columns for %s", len(refs), c), "one; only effect and note are put together from several")
		}
		for _, r := range p.Map[c] {
			if r.Number < 0 || r.Number == 0 && clean(r.Name) == "" {
				add(c.String(), show.Quote(r.String())+" for "+c.String(), "the name of a column, or its number from 1")
			}
		}
	}
	if p.Notation == Frames && p.Rate == "" {
		add("notation", "times in frames and no rate", "the frame rate: one of "+strings.Join(Settings("rate"), ", "))
	}
	return ps
}

func nowhere(string) (line, column int) { return 0, 0 }
