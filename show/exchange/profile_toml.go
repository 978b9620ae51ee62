package exchange

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"regexp"
	"strings"

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
	problem := show.Problem{Severity: show.SeverityStop, Code: show.CodeFile, File: name, Wanted: "a profile as --save-profile writes it"}
	text, err := io.ReadAll(io.LimitReader(r, maxProfile+1))
	if err != nil || len(text) > maxProfile {
		if problem.Found, problem.Err = "a file that cannot be read", err; err == nil {
			problem.Found = "a file that is too large"
		}
		return Profile{}, show.Problems{problem}
	}
	var f profileFile
	if err := toml.NewDecoder(bytes.NewReader(text)).DisallowUnknownFields().Decode(&f); err != nil {
		return Profile{}, tomlProblems(name, err)
	}
	p := Profile{
		Format: Format{Encoding: f.Encoding, Delimiter: f.Delimiter, Quotes: f.Quotes, Header: scalar(f.Header)},
		Times:  f.Times, Notation: f.Notation, Rate: scalar(f.Rate), Zero: f.Zero, Decimal: f.Decimal,
		PrefireUnit: f.PrefireUnit, BurnUnit: f.BurnUnit, CaliberUnit: f.CaliberUnit,
	}
	line := func(key string) int { return keyLine(text, key) }
	ps := p.take(f, name, line)
	if ps = append(ps, p.check(name, line)...); len(ps) > 0 {
		return Profile{}, ps
	}
	return p, nil
}

// take takes the mapping and the fills of f.
func (p *Profile) take(f profileFile, name string, line func(string) int) show.Problems {
	var ps show.Problems
	bad := func(code, key, found, wanted string) {
		ps = append(ps, show.Problem{Severity: show.SeverityStop, Code: code, File: name, Line: line(key), Found: found, Wanted: wanted})
	}
	for key, value := range f.Map {
		c, ok := columnNamed(key)
		if !ok {
			bad(show.CodeKey, key, show.Quote(key)+" under [map]", "one of "+strings.Join(Columns[:], ", "))
			continue
		}
		refs, ok := refsOf(value)
		if !ok {
			bad(show.CodeType, key, "what is no column as "+key, "a column's name or number, or a list of them")
			continue
		}
		if p.Map == nil {
			p.Map = map[Column][]Ref{}
		}
		p.Map[c] = refs
	}
	for key, value := range f.Fill {
		c, ok := columnNamed(key)
		if !ok {
			bad(show.CodeKey, key, show.Quote(key)+" under [fill]", "one of "+strings.Join(Columns[:], ", "))
			continue
		}
		if p.Fill == nil {
			p.Fill = map[Column]string{}
		}
		p.Fill[c] = clean(value)
	}
	return ps
}

// refsOf reads a column, or a list of them. Numbers that are out of range are
// check's to refuse.
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

// scalar is a value that may be written with or without quotes, such as a rate.
func scalar(v any) string {
	if v == nil {
		return ""
	}
	return fmt.Sprint(v)
}

// keyLine is the line of the text that gives key a value, 0 when none does.
func keyLine(text []byte, key string) int {
	at := regexp.MustCompile(`(?m)^[ \t]*["']?` + regexp.QuoteMeta(key) + `["']?[ \t]*=`).FindIndex(text)
	if at == nil {
		return 0
	}
	return 1 + bytes.Count(text[:at[0]], []byte("\n"))
}

// tomlProblems words the errors of the TOML library.
func tomlProblems(name string, err error) show.Problems {
	problem := show.Problem{Severity: show.SeverityStop, Code: show.CodeSyntax, File: name, Err: err}
	var strict *toml.StrictMissingError
	if errors.As(err, &strict) {
		var ps show.Problems
		for _, e := range strict.Errors {
			problem.Line, problem.Column = e.Position()
			problem.Code, problem.Found = show.CodeKey, "the unknown key "+show.Quote(strings.Join(e.Key(), "."))
			problem.Wanted = "one of " + strings.Join(profileKeys(), ", ")
			ps = append(ps, problem)
		}
		return ps
	}
	var at *toml.DecodeError
	if errors.As(err, &at) {
		problem.Line, problem.Column = at.Position()
	}
	problem.Found, problem.Wanted = "what is no profile ("+show.Shorten(strings.TrimPrefix(err.Error(), "toml: "), quoteLimit)+")", "lines of key = \"value\", [map] and [fill]"
	return show.Problems{problem}
}

func profileKeys() []string {
	keys := []string{"map", "fill"}
	for _, s := range new(Profile).settings() {
		keys = append(keys, s.key)
	}
	return keys
}
