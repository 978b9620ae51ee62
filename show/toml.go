package show

import (
	"errors"
	"io"
	"io/fs"
	"maps"
	"slices"
	"strings"

	"github.com/pelletier/go-toml/v2"
)

// maxTOML bounds show.toml: a hundred times what a large show needs.
const maxTOML = 256 << 10

// readTOML decodes show.toml. The result is nil when it is not TOML; what is
// wrong with its values is found while they are read from it.
func readTOML(fsys fs.FS, f *finder) *Table {
	stops := f.counts[SeverityStop]
	text, ok := readText(fsys, showFile, maxTOML, f)
	if !ok || f.counts[SeverityStop] > stops {
		return nil
	}
	return tableOf(text, f)
}

// ReadTOML reads a TOML file other than show.toml, of at most limit bytes, by
// the same rules: drills, import profiles, a user's configuration and
// calibration. name is its own in messages. A file that is not TOML is an
// error, a Problems. What is wrong with its values is found while they are
// read: Table.Problems has all of it once everything has been read.
func ReadTOML(name string, r io.Reader, limit int) (*Table, error) {
	f := &finder{}
	text, err := scanText(r, name, limit, f)
	if err != nil {
		found, wanted := fileError(err)
		f.add(Problem{Severity: SeverityStop, Code: CodeFile, File: name, Line: len(text.starts), Found: found, Wanted: wanted, Err: err})
	}
	if len(f.found) > 0 {
		return nil, f.problems()
	}
	t := tableOf(text, f)
	if t == nil {
		return nil, f.problems()
	}
	return t, nil
}

// tableOf returns the top level of a text, nil when it is not TOML.
func tableOf(text *textFile, f *finder) *Table {
	values := map[string]any{}
	if err := toml.Unmarshal(text.data, &values); err != nil {
		f.add(tomlProblem(text, err))
		return nil
	}
	return &Table{finder: f, file: text.name, places: placesIn(text), values: values}
}

// tomlProblem words an error of the TOML library.
func tomlProblem(text *textFile, err error) Problem {
	p := Problem{
		Severity: SeverityStop,
		Code:     CodeSyntax,
		File:     text.name,
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

// A Table reads the values of one TOML table, each with the type and limits
// that its reader states, and notes a problem with any that differs. A value
// that is absent or wrong reads as its default, so that reading goes on.
type Table struct {
	*finder
	file   string
	places places
	path   string // of the table, as in places; "" for the top level
	values map[string]any
	known  []string // the keys asked for: all that the table may hold
	wrong  bool     // not a table: noted, and nothing more to say about it
}

// Value returns the value of key as TOML has it (string, int64, float64, bool,
// time.Time, []any, map[string]any), nil when it is absent: for what none of
// the other methods reads.
func (t *Table) Value(key string) any {
	t.known = append(t.known, key)
	return t.values[key]
}

// Line is the line on which the table begins, 0 for the top level.
func (t *Table) Line() int { return t.places[t.path].line }

// Problems are all that was found wrong in the file so far, sorted.
func (t *Table) Problems() Problems { return t.problems() }

// Has reports whether the table holds key.
func (t *Table) Has(key string) bool { return t.values[key] != nil }

// Place is where key stands, from 1; 0 when it is absent.
func (t *Table) Place(key string) (line, column int) {
	at := t.place(key)
	return at.line, at.column
}

// place is where key stands.
func (t *Table) place(key string) place { return t.places[join(t.path, key)] }

// Note adds a problem with the value of key.
func (t *Table) Note(code, key, found, wanted string) {
	at := t.place(key)
	t.add(Problem{
		Severity: SeverityStop, Code: code, File: t.file, Line: at.line, Column: at.column,
		Found: found + " as " + Shorten(key, quoteLimit), Wanted: wanted,
	})
}

// Need notes a problem when key is absent. wanted shows the line to write.
func (t *Table) Need(key, wanted string) {
	if t.Has(key) || t.wrong {
		return
	}
	at := t.places[t.path]
	t.add(Problem{
		Severity: SeverityStop, Code: CodeMissing, File: t.file, Line: at.line, Column: at.column,
		Found: "no " + key + t.under(), Wanted: "a line such as " + wanted,
	})
}

// under names the table in a message, unless it is the top level.
func (t *Table) under() string {
	if t.path == "" {
		return ""
	}
	name, _, _ := strings.Cut(t.path, "\x00")
	return " under [" + name + "]"
}

// Sub returns the table named key, empty when it is absent.
func (t *Table) Sub(key string) *Table {
	v := t.Value(key)
	values, ok := v.(map[string]any)
	wrong := v != nil && !ok
	if wrong {
		t.Note(CodeType, key, describeTOML(v), "a table that begins with a line ["+key+"]")
	}
	return &Table{finder: t.finder, file: t.file, places: t.places, path: join(t.path, key), values: values, wrong: wrong}
}

// List returns the tables of an array of tables.
func (t *Table) List(key string) []*Table {
	v := t.Value(key)
	if v == nil {
		return nil
	}
	items, ok := v.([]any)
	if !ok {
		t.Note(CodeType, key, describeTOML(v), "tables that each begin with a line [["+key+"]]")
		return nil
	}
	var tables []*Table
	for i, item := range items {
		values, ok := item.(map[string]any)
		if !ok {
			t.Note(CodeType, key, describeTOML(item), "tables that each begin with a line [["+key+"]]")
			continue
		}
		tables = append(tables, &Table{finder: t.finder, file: t.file, places: t.places, path: itemPath(join(t.path, key), i), values: values})
	}
	return tables
}

// Done notes every key that nobody asked for.
func (t *Table) Done() {
	for _, key := range slices.Sorted(maps.Keys(t.values)) {
		if t.full() {
			return
		}
		if slices.Contains(t.known, key) {
			continue
		}
		at := t.place(key)
		t.add(Problem{
			Severity: SeverityStop, Code: CodeKey, File: t.file, Line: at.line, Column: at.column,
			Found:  "the unknown key " + Quote(key) + t.under(),
			Wanted: "one of " + strings.Join(t.known, ", ") + DidYouMean(key, t.known),
		})
	}
}
