package exchange

import (
	"io"

	"drylane/show"

	"github.com/pelletier/go-toml/v2"
)

// maxProfile bounds a profile's file, in bytes.
const maxProfile = 64 << 10

// profileFile is a Profile as its file has it.
type profileFile struct {
	Encoding    string            `toml:"encoding,omitempty"`
	Delimiter   string            `toml:"delimiter,omitempty"`
	Quotes      string            `toml:"quotes,omitempty"`
	Header      any               `toml:"header,omitempty"`
	Times       string            `toml:"times,omitempty"`
	Notation    string            `toml:"notation,omitempty"`
	Rate        any               `toml:"rate,omitempty"`
	Zero        string            `toml:"zero,omitempty"`
	Decimal     string            `toml:"decimal,omitempty"`
	PrefireUnit string            `toml:"prefire_unit,omitempty"`
	BurnUnit    string            `toml:"burn_unit,omitempty"`
	CaliberUnit string            `toml:"caliber_unit,omitempty"`
	Map         map[string]any    `toml:"map,omitempty"`
	Fill        map[string]string `toml:"fill,omitempty"`
}

// Write writes the profile as TOML; ReadProfile reads it back.
func (p Profile) Write(w io.Writer) error {
	f := profileFile{
		Encoding: p.Encoding, Delimiter: p.Delimiter, Quotes: p.Quotes,
		Times: p.Times, Notation: p.Notation, Zero: p.Zero, Decimal: p.Decimal,
		PrefireUnit: p.PrefireUnit, BurnUnit: p.BurnUnit, CaliberUnit: p.CaliberUnit,
		Map: map[string]any{}, Fill: map[string]string{},
	}
	if p.Header != "" {
		f.Header = p.Header
	}
	if r := rateNamed(p.Rate); r.Valid() {
		f.Rate = r.String()
	}
	for c, refs := range p.Map {
		values := make([]any, len(refs))
		for i, r := range refs {
			if values[i] = r.Name; r.Number != 0 {
				values[i] = int64(r.Number)
			}
		}
		if f.Map[c.String()] = values; len(values) == 1 {
			f.Map[c.String()] = values[0]
		}
	}
	for c, text := range p.Fill {
		f.Fill[c.String()] = text
	}
	b, err := toml.Marshal(f)
	if err != nil {
		return err
	}
	_, err = w.Write(append([]byte("# How a cue list is read: drylane import FILE --profile THIS --to DIR\n"), b...))
	return err
}

// ReadProfile reads the file of a profile. The error is a show.Problems with
// all that was found in it.
func ReadProfile(name string, r io.Reader) (Profile, error) {
	t, err := show.ReadTOML(name, r, maxProfile)
	if err != nil {
		return Profile{}, err
	}
	var p Profile
	columns, fills := t.Sub("map"), t.Sub("fill")
	for _, s := range p.settings() {
		if s.key == "rate" || s.key == "header" { // 25 or "25"
			*s.value = t.Scalar(s.key)
			continue
		}
		*s.value = t.Verbatim(s.key)
	}
	p.readMap(columns)
	p.readFill(fills)
	t.Done()
	ps := append(t.Problems(), p.check(name, func(key string) (line, column int) {
		for _, t := range []*show.Table{t, columns, fills} {
			if line, column = t.Place(key); line > 0 {
				break
			}
		}
		return line, column
	})...)
	if len(ps) > 0 {
		return Profile{}, ps
	}
	return p, nil
}

// readMap reads the columns of the file that each of ours is made from.
func (p *Profile) readMap(t *show.Table) {
	defer t.Done()
	for c := range ColumnCount {
		v := t.Value(c.String())
		if v == nil {
			continue
		}
		refs, ok := refsOf(v)
		if !ok {
			t.Note(show.CodeType, c.String(), "something other than a column", "a column's name or number, or a list of them")
			continue
		}
		if p.Map == nil {
			p.Map = map[Column][]Ref{}
		}
		p.Map[c] = refs
	}
}

// readFill reads what stands where the file has nothing.
func (p *Profile) readFill(t *show.Table) {
	defer t.Done()
	for c := range ColumnCount {
		text := t.Verbatim(c.String())
		if !t.Has(c.String()) {
			continue
		}
		if p.Fill == nil {
			p.Fill = map[Column]string{}
		}
		p.Fill[c] = clean(text)
	}
}

// refsOf reads a column, or a list of them. It leaves numbers that are out of
// range for check to refuse.
func refsOf(value any) ([]Ref, bool) {
	switch v := value.(type) {
	case string:
		return []Ref{{Name: v}}, true
	case int64:
		if v < 1 || v > maxText {
			return []Ref{{Number: -1}}, true
		}
		return []Ref{{Number: int(v)}}, true
	case []any:
		refs := []Ref{}
		for _, item := range v {
			one, ok := refsOf(item)
			if _, list := item.([]any); !ok || list {
				return nil, false
			}
			refs = append(refs, one...)
		}
		return refs, true
	}
	return nil, false
}
