package exchange

import (
	"fmt"
	"io"
	"slices"
	"strconv"
	"strings"
	"unicode/utf8"

	"drylane/show"
)

// A Format says how a text is built. Empty settings are Auto: found out from
// the text.
type Format struct {
	Encoding  string // one of Encodings
	Delimiter string // one character, or "tab"
	Quotes    string // QuotesDouble or QuotesNone
	Header    string // "none", or the line that names the columns, from 1
}

// A Table is a cue list as its file has it.
type Table struct {
	Name   string   // of the file
	Format Format   // as it was read; nothing in it is Auto
	Header []string // the columns' names, cleaned; nil when there are none
	Rows   []Row    // those under the header
	Skips  []Skip   // lines that are not rows, and the rows above the header
	Width  int      // how many columns there are
	text   string
	starts []int // offset in text of each line
	marker bool  // rows are markers, not lines
}

// ReadTable reads delimited text, built as the profile says; where that leaves
// the header to be found, it is looked for by the names that the profile maps.
// The error is a show.Problem.
func ReadTable(name string, r io.Reader, p Profile) (*Table, error) {
	// UTF-16 takes two bytes a character.
	data, err := io.ReadAll(io.LimitReader(r, 2*maxText+1))
	if err != nil {
		return nil, show.Problem{Severity: show.SeverityStop, Code: show.CodeFile, File: name, Found: "a file that cannot be read", Wanted: textWanted, Err: err}
	}
	if len(data) > 2*maxText {
		return nil, show.Problem{Severity: show.SeverityStop, Code: show.CodeFile, File: name, Found: "a file that is too large", Wanted: "a cue list of a show's size"}
	}
	t := &Table{Name: name, Format: p.Format}
	if t.text, t.Format.Encoding, err = decode(name, data, p.Encoding); err != nil {
		return nil, err
	}
	delimiter, err := t.delimiter()
	if err != nil {
		return nil, err
	}
	if strings.Count(t.text, string(delimiter)) > maxFields {
		return nil, show.Problem{Severity: show.SeverityStop, Code: show.CodeCount, File: name, Found: fmt.Sprintf("more than %d fields", maxFields), Wanted: "a cue list of a show's size"}
	}
	if p.Quotes == "" || p.Quotes == Auto {
		t.Format.Quotes = sniffQuotes(t.text, delimiter)
	}
	if t.Rows, t.Skips, err = split(name, t.text, delimiter, t.Format.Quotes); err != nil {
		return nil, err
	}
	if len(t.Rows) > maxRows {
		return nil, tooMany(name)
	}
	t.index()
	if err := t.cutHeader(p.names()); err != nil {
		return nil, err
	}
	return t, nil
}

// delimiter settles what separates the fields.
func (t *Table) delimiter() (rune, error) {
	switch d := t.Format.Delimiter; {
	case d == "" || d == Auto:
		r := sniffDelimiter(t.text)
		t.Format.Delimiter = string(r)
		if r == '\t' {
			t.Format.Delimiter = "tab"
		}
		return r, nil
	case d == "tab":
		return '\t', nil
	case utf8.RuneCountInString(d) == 1 && !strings.ContainsAny(d, "\"\r\n\uFFFD"):
		r, _ := utf8.DecodeRuneInString(d)
		return r, nil
	default:
		return 0, show.Problem{Severity: show.SeverityStop, Code: show.CodeValue, Found: show.Quote(d) + " as delimiter", Wanted: "one character, or tab"}
	}
}

// index finds the lines of the text and completes the skips by them.
func (t *Table) index() {
	t.starts = []int{0}
	for i := range len(t.text) {
		if t.text[i] == '\n' {
			t.starts = append(t.starts, i+1)
		}
	}
	for i := range t.Skips {
		s := &t.Skips[i]
		s.Text = show.Shorten(t.text[t.start(s.Line):t.start(s.Last+1)], quoteLimit)
	}
}

func (t *Table) start(line int) int {
	if line-1 < len(t.starts) {
		return t.starts[max(line-1, 0)]
	}
	return len(t.text)
}

// cutHeader takes the header, and what stands above it, from the rows.
func (t *Table) cutHeader(wanted []string) error {
	h := -1
	switch f := t.Format.Header; f {
	case "", Auto:
		h = sniffHeader(t.Rows, wanted)
	case "none":
	default:
		line, err := strconv.Atoi(f)
		h = slices.IndexFunc(t.Rows, func(r Row) bool { return r.Line == line })
		if err != nil || h < 0 {
			return show.Problem{
				Severity: show.SeverityStop, Code: show.CodeValue, File: t.Name, Found: show.Quote(f) + " as the line with the columns' names",
				Wanted: "none, or the number of a line with text in it",
			}
		}
	}
	if t.Format.Header = "none"; h >= 0 {
		t.Format.Header = strconv.Itoa(t.Rows[h].Line)
		for _, f := range t.Rows[h].Fields {
			t.Header = append(t.Header, clean(f))
		}
		t.Width = len(t.Header)
		t.skipAbove(h)
	}
	if t.Rows = t.Rows[h+1:]; h < 0 {
		t.Width = commonWidth(t.Rows)
	}
	return nil
}

// skipAbove lists the rows above the header, but not empty ones.
func (t *Table) skipAbove(h int) {
	for _, r := range t.Rows[:h] {
		if !blank(r.Fields) {
			p := show.Problem{Severity: show.SeverityNote, Code: show.CodeSyntax, File: t.Name, Line: r.Line, Found: "a row above the columns' names", Wanted: "cues below them"}
			t.Skips = append(t.Skips, Skip{Line: r.Line, Last: r.Last, Text: r.text(), Problems: show.Problems{p}})
		}
	}
}

// commonWidth is the width that most rows have, the larger of two equals.
func commonWidth(rows []Row) int {
	widths := map[int]int{}
	best := 0
	for _, r := range rows {
		widths[len(r.Fields)]++
	}
	for w, n := range widths {
		if n > widths[best] || n == widths[best] && w > best {
			best = w
		}
	}
	return best
}

// Head returns the table with its first n rows only.
func (t *Table) Head(n int) *Table {
	h := *t
	h.Rows = t.Rows[:min(n, len(t.Rows))]
	return &h
}

// Title names column i, from 0, for a person.
func (t *Table) Title(i int) string {
	if i < len(t.Header) && t.Header[i] != "" {
		return t.Header[i]
	}
	return "column " + strconv.Itoa(i+1)
}

// problem returns a problem at field i of a row, or at the row if i < 0.
func (t *Table) problem(r Row, i int, code, found, wanted string) show.Problem {
	p := show.Problem{Severity: show.SeverityWarn, Code: code, File: t.Name, Line: r.Line, Found: found, Wanted: wanted}
	if t.marker {
		p.File, p.Line = fmt.Sprintf("%s, marker %d", t.Name, r.Line), 0
		return p
	}
	if i >= 0 && i < len(r.at) {
		p.Line = int(r.at[i].line)
		from := t.start(p.Line)
		p.Column = 1 + utf8.RuneCountInString(t.text[from:min(from+int(r.at[i].column)-1, len(t.text))])
	}
	return p
}

// text is the row for a person.
func (r Row) text() string { return show.Shorten(strings.Join(r.Fields, " | "), quoteLimit) }

// blank reports whether nothing stands in any field.
func blank(fields []string) bool {
	for _, f := range fields {
		if strings.TrimSpace(f) != "" {
			return false
		}
	}
	return true
}
