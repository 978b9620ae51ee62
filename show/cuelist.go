package show

import (
	"bytes"
	"cmp"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"slices"
	"strings"
)

// Limits of the cue list. maxCues is ten times a very large show, maxGroups many
// times one: of positions, and of modules. What show.toml lists of them, its own
// size bounds.
const (
	maxCues     = 100_000
	maxGroups   = 10_000
	maxCueBytes = 32 << 20
)

// The columns of a cue list, in the order in which they are written.
const (
	colCue = iota
	colEffectAt
	colPrefire
	colPosition
	colModule
	colPin
	colEffect
	colCaliber
	colBurn
	colNote
	colCount
)

var columns = [colCount]string{
	"cue", "effect_at", "prefire", "position", "module", "pin", "effect", "caliber_mm", "burn", "note",
}

// requiredColumns are those that a cue list cannot do without.
var requiredColumns = [...]int{colCue, colEffectAt, colPosition}

// A cueReader reads the cue list of a show: CSV as in RFC 4180, with a header
// row that names the columns in any order.
type cueReader struct {
	*finder
	file   *textFile
	csv    *csv.Reader
	fields [colCount]int // index in a record of each column, -1 when it has none
	width  int           // how many columns the header has
	checks cueChecks
}

// readCues reads s.CuesFile into s and notes what is wrong with it.
func readCues(fsys fs.FS, s *Show, f *finder) {
	text, ok := readText(fsys, s.CuesFile, maxCueBytes, f)
	if !ok {
		return
	}
	s.CuesSHA256 = text.sha256
	r := cueReader{finder: f, file: text, csv: csv.NewReader(bytes.NewReader(text.data))}
	r.csv.FieldsPerRecord = -1 // counted here, so that one bad row does not end the list
	r.csv.ReuseRecord = true
	r.checks = newCueChecks(s)
	stops := f.counts[SeverityStop]
	if !r.header() {
		return
	}
	s.Cues = r.rows()
	if len(s.Cues) == 0 && f.counts[SeverityStop] == stops {
		r.note(place{}, CodeMissing, "a header and no cues", "a line for each cue")
	}
	r.checks.fill(s)
	slices.SortFunc(s.Cues, func(a, b Cue) int {
		return cmp.Or(cmp.Compare(a.IgniteAt(), b.IgniteAt()), cmp.Compare(a.Line, b.Line))
	})
	checkGaps(s, f)
}

// note adds a problem that stops the show.
func (r *cueReader) note(at place, code, found, wanted string) {
	r.add(Problem{
		Severity: SeverityStop, Code: code, File: r.file.name, Line: at.line, Column: at.column,
		Found: found, Wanted: wanted,
	})
}

// place is where field i of the record last read begins.
func (r *cueReader) place(i int) place {
	line, column := r.csv.FieldPos(i)
	return place{line, r.file.column(line, column)}
}

// syntax notes an error of the CSV library.
func (r *cueReader) syntax(err error) {
	at, found, wanted := place{}, Shorten(err.Error(), quoteLimit), "a comma-separated line"
	var parse *csv.ParseError
	if errors.As(err, &parse) {
		at = place{parse.Line, r.file.column(parse.Line, parse.Column)}
	}
	switch {
	case errors.Is(err, csv.ErrBareQuote):
		found, wanted = "a quote inside a field that has none around it", `the field in quotes and its own quotes doubled: "12"" shell"`
	case errors.Is(err, csv.ErrQuote) && parse.StartLine != parse.Line:
		at.column = 0
		at.line = parse.StartLine
		found, wanted = fmt.Sprintf("a quote that opens here and does not close properly (looked up to line %d)", parse.Line), "a closing quote at the end of the field"
	case errors.Is(err, csv.ErrQuote):
		found, wanted = "a quoted field that does not end with its closing quote", "a comma or the end of the line after it, and quotes inside it doubled"
	}
	r.add(Problem{
		Severity: SeverityStop, Code: CodeSyntax, File: r.file.name, Line: at.line, Column: at.column,
		Found: found, Wanted: wanted, Err: err,
	})
}

// header reads the row of column names. False means that without it the rows
// cannot be read.
func (r *cueReader) header() bool {
	record, err := r.csv.Read()
	if err != nil {
		if err == io.EOF {
			r.note(place{}, CodeFile, "no header row", "the names of the columns")
		} else {
			r.syntax(err)
		}
		return false
	}
	if len(record) == 1 && strings.ContainsAny(record[0], ";\t") {
		r.note(r.place(0), CodeSyntax, "columns that are not separated by commas", "commas between them")
		return false
	}
	for i := range r.fields {
		r.fields[i] = -1
	}
	r.width = len(record)
	for i, name := range record {
		r.column(i, name)
	}
	complete := true
	for _, c := range requiredColumns {
		if r.fields[c] < 0 {
			complete = false
			r.note(place{r.place(0).line, 0}, CodeColumn, "no column "+columns[c], "the columns cue, effect_at and position at least")
		}
	}
	return complete
}

// column notes which column field i of the header names.
func (r *cueReader) column(i int, raw string) {
	name, _, _ := tidy(raw)
	c := slices.Index(columns[:], name)
	switch {
	case c < 0:
		r.note(r.place(i), CodeColumn, "the unknown column "+Quote(raw),
			"one of "+strings.Join(columns[:], ", ")+DidYouMean(name, columns[:]))
	case r.fields[c] >= 0:
		r.note(r.place(i), CodeColumn, "the column "+name+" a second time", "each column once")
	default:
		r.fields[c] = i
	}
}

// rows reads the cues, in the order of the file, until the list ends or what
// else is wrong would not be listed any more.
func (r *cueReader) rows() []Cue {
	cues := make([]Cue, 0, min(len(r.file.starts), maxCues))
	for !r.full() {
		record, err := r.csv.Read()
		if err == io.EOF {
			break
		}
		if err != nil {
			r.syntax(err)
			continue
		}
		if blank(record) {
			continue
		}
		if len(record) != r.width {
			at := place{r.place(0).line, 0}
			r.note(at, CodeSyntax, fmt.Sprintf("%d fields", len(record)), fmt.Sprintf("%d, as in the header", r.width))
			continue
		}
		if len(cues) == maxCues {
			r.note(r.place(0), CodeCount, fmt.Sprintf("more than %d cues", maxCues), "a shorter list")
			break
		}
		cues = append(cues, r.cue(record))
	}
	return cues
}

// blank reports whether a record is one of the empty rows that spreadsheets
// leave at the end of a list.
func blank(record []string) bool {
	for _, field := range record {
		if strings.TrimSpace(field) != "" {
			return false
		}
	}
	return true
}
