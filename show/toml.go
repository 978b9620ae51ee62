package show

import (
	"errors"
	"io/fs"
	"maps"
	"slices"
	"strings"

	"github.com/pelletier/go-toml/v2"
)

// maxTOML bounds show.toml: a hundred times what a large show needs.
const maxTOML = 256 << 10

// readTOML decodes show.toml. The result is nil when it is no TOML at all;
// what is wrong with its values is found while they are read from it.
func readTOML(fsys fs.FS, f *finder) *table {
	stops := f.counts[SeverityStop]
	text, ok := readText(fsys, showFile, maxTOML, f)
	if !ok || f.counts[SeverityStop] > stops {
		return nil
	}
	values := map[string]any{}
	if err := toml.Unmarshal(text.data, &values); err != nil {
		f.add(tomlProblem(text, err))
		return nil
	}
	return &table{finder: f, places: placesIn(text), values: values}
}

// tomlProblem words an error of the TOML library.
func tomlProblem(text *textFile, err error) Problem {
	p := Problem{
		Severity: SeverityStop,
		Code:     CodeSyntax,
		File:     showFile,
		Found:    "what is not TOML (" + Shorten(strings.TrimPrefix(err.Error(), "toml: "), 2*quoteLimit) + ")",
		Wanted:   "lines of key = value, [table] or [[table]], each key and [table] once",
		Err:      err,
	}
	if at := new(toml.DecodeError); errors.As(err, &at) {
		line, column := at.Position()
		p.Line, p.Column = line, text.column(line, column)
	}
	return p
}

// A table reads the values of one TOML table, each with the type and limits
// that its reader states, and notes as a problem what differs. A value that is
// absent or wrong reads as its default, so that reading goes on.
type table struct {
	*finder
	places places
	path   string // of the table, as in places; "" for the top level
	values map[string]any
	known  []string // the keys asked for: all that the table may hold
	wrong  bool     // not a table: noted, and nothing more to say about it
}

// look returns the value of key, nil when it is absent.
func (t *table) look(key string) any {
	t.known = append(t.known, key)
	return t.values[key]
}

// has reports whether the table holds key.
func (t *table) has(key string) bool { return t.values[key] != nil }

// place is where key stands.
func (t *table) place(key string) place { return t.places[join(t.path, key)] }

// note adds a problem with the value of key.
func (t *table) note(code, key, found, wanted string) {
	at := t.place(key)
	t.add(Problem{
		Severity: SeverityStop, Code: code, File: showFile, Line: at.line, Column: at.column,
		Found: found + " as " + Shorten(key, quoteLimit), Wanted: wanted,
	})
}

// need notes a problem when key is absent. wanted shows the line to write.
func (t *table) need(key, wanted string) {
	if t.has(key) || t.wrong {
		return
	}
	at := t.places[t.path]
	t.add(Problem{
		Severity: SeverityStop, Code: CodeMissing, File: showFile, Line: at.line, Column: at.column,
		Found: "no " + key + t.under(), Wanted: "a line such as " + wanted,
	})
}

// under names the table in a message, unless it is the top level.
func (t *table) under() string {
	if t.path == "" {
		return ""
	}
	name, _, _ := strings.Cut(t.path, "\x00")
	return " under [" + name + "]"
}

// sub returns the table named key, empty when it is absent.
func (t *table) sub(key string) *table {
	v := t.look(key)
	values, ok := v.(map[string]any)
	wrong := v != nil && !ok
	if wrong {
		t.note(CodeType, key, describeTOML(v), "a table that begins with a line ["+key+"]")
	}
	return &table{finder: t.finder, places: t.places, path: join(t.path, key), values: values, wrong: wrong}
}

// list returns the tables of an array of tables.
func (t *table) list(key string) []*table {
	v := t.look(key)
	if v == nil {
		return nil
	}
	items, ok := v.([]any)
	if !ok {
		t.note(CodeType, key, describeTOML(v), "tables that each begin with a line [["+key+"]]")
		return nil
	}
	var tables []*table
	for i, item := range items {
		values, ok := item.(map[string]any)
		if !ok {
			t.note(CodeType, key, describeTOML(item), "tables that each begin with a line [["+key+"]]")
			continue
		}
		tables = append(tables, &table{finder: t.finder, places: t.places, path: itemPath(join(t.path, key), i), values: values})
	}
	return tables
}

// done notes every key that nobody asked for.
func (t *table) done() {
	for _, key := range slices.Sorted(maps.Keys(t.values)) {
		if t.full() {
			return
		}
		if slices.Contains(t.known, key) {
			continue
		}
		at := t.place(key)
		t.add(Problem{
			Severity: SeverityStop, Code: CodeKey, File: showFile, Line: at.line, Column: at.column,
			Found:  "the unknown key " + quote(key) + t.under(),
			Wanted: "one of " + strings.Join(t.known, ", ") + didYouMean(key, t.known),
		})
	}
}
