package exchange

import (
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"strings"
	"unicode"

	"drylane/show"
)

// A Row is one record of a Table.
type Row struct {
	Line   int // where it begins, from 1; in a table of markers, which marker it is
	Last   int // the line where it ends
	Fields []string
	at     []fieldAt
}

// fieldAt is where a field begins, in bytes from 1.
type fieldAt struct{ line, column int32 }

// A Skip is a row, or a run of lines, that gave no cue, and why.
type Skip struct {
	Line, Last int
	Text       string // of the row, cleaned and cut
	Problems   show.Problems
}

// errUnclosed is a quote that runs to the end of the file: whatever follows it
// would be lost.
var errUnclosed = errors.New("a quote that opens here and never closes")

// splitQuoted reads records by the rules of CSV (RFC 4180), and takes a quote
// inside a field that has none around it for a letter. A record that breaks the
// rules otherwise is left out and returned as a Skip; a quote that never closes
// is the only error.
func splitQuoted(name, text string, delimiter rune) ([]Row, []Skip, error) {
	r := csv.NewReader(strings.NewReader(text))
	r.Comma, r.FieldsPerRecord = delimiter, -1
	// Blanks before a quote are passed over, unless the blank is the delimiter.
	r.TrimLeadingSpace = !unicode.IsSpace(delimiter)
	var rows []Row
	var skips []Skip
	for len(rows) <= maxRows {
		begin := r.InputOffset()
		fields, err := r.Read()
		if err == io.EOF {
			break
		}
		var parse *csv.ParseError
		switch {
		case err == nil:
			rows = append(rows, readRow(r, fields))
			continue
		case !errors.As(err, &parse):
			return rows, skips, show.Problem{Severity: show.SeverityStop, Code: show.CodeSyntax, File: name, Found: err.Error(), Wanted: textWanted, Err: err}
		}
		end := r.InputOffset()
		if errors.Is(err, csv.ErrBareQuote) && parse.StartLine == parse.Line {
			if row, ok := splitLine(strings.Trim(text[begin:end], "\n"), delimiter, parse.Line); ok {
				rows = append(rows, row)
				continue
			}
		}
		p := quoteProblem(name, parse)
		// An open quote takes the reader to the end of the text.
		if errors.Is(err, csv.ErrQuote) && parse.StartLine != parse.Line && end >= int64(len(text)) {
			p.Severity, p.Line, p.Err = show.SeverityStop, parse.StartLine, errUnclosed
			p.Found, p.Wanted = errUnclosed.Error(), "a closing quote, or --quotes none"
			return rows, skips, p
		}
		skips = append(skips, Skip{Line: parse.StartLine, Last: parse.Line, Problems: show.Problems{p}})
	}
	return rows, skips, nil
}

// readRow is the record that r has just read.
func readRow(r *csv.Reader, fields []string) Row {
	row := Row{Fields: fields, at: make([]fieldAt, len(fields))}
	for i := range fields {
		line, column := r.FieldPos(i)
		row.at[i] = fieldAt{int32(line), int32(column)}
	}
	last := len(fields) - 1
	row.Line = int(row.at[0].line)
	row.Last = int(row.at[last].line) + strings.Count(fields[last], "\n")
	return row
}

// quoteProblem words an error of the CSV library, which are all about quotes.
func quoteProblem(name string, parse *csv.ParseError) show.Problem {
	p := show.Problem{Severity: show.SeverityWarn, Code: show.CodeSyntax, File: name, Line: parse.Line, Err: parse}
	p.Found, p.Wanted = "a quoted field that does not end with its closing quote", "the separator or the end of the line after it"
	if errors.Is(parse, csv.ErrBareQuote) {
		p.Found, p.Wanted = "a quote inside a field that has none around it", "the field in quotes and its own quotes doubled, or --quotes none"
	}
	return p
}

// splitLine reads one line as splitQuoted does, with quotes allowed inside
// fields that have none around them. ok is false if a field that begins with a
// quote does not end properly.
func splitLine(line string, delimiter rune, number int) (row Row, ok bool) {
	row = Row{Line: number, Last: number}
	sep := string(delimiter)
	for at := 0; ; {
		row.at = append(row.at, fieldAt{int32(number), int32(at + 1)})
		var field string
		end := len(line)
		if !unicode.IsSpace(delimiter) {
			at = len(line) - len(strings.TrimLeftFunc(line[at:], unicode.IsSpace))
		}
		if rest := line[at:]; strings.HasPrefix(rest, `"`) {
			n := quotedLen(rest)
			if n == 0 || rest[n:] != "" && !strings.HasPrefix(rest[n:], sep) {
				return row, false
			}
			field, end = strings.ReplaceAll(rest[1:n-1], `""`, `"`), at+n
		} else {
			if i := strings.Index(rest, sep); i >= 0 {
				end = at + i
			}
			field = line[at:end]
		}
		row.Fields = append(row.Fields, field)
		if end == len(line) {
			return row, true
		}
		at = end + len(sep)
	}
}

// quotedLen is the length of the quoted field that s begins with, quotes
// included; 0 if it does not close.
func quotedLen(s string) int {
	for i := 1; i < len(s); i++ {
		switch {
		case s[i] != '"':
		case i+1 < len(s) && s[i+1] == '"':
			i++
		default:
			return i + 1
		}
	}
	return 0
}

// splitPlain reads every line as a record in which quotes mean nothing.
func splitPlain(text string, delimiter rune) []Row {
	var rows []Row
	number := 0
	for line := range strings.Lines(text) {
		number++
		line = strings.TrimRight(line, "\r\n")
		if line == "" {
			continue
		}
		if len(rows) > maxRows {
			break
		}
		row := Row{Line: number, Last: number, Fields: strings.Split(line, string(delimiter))}
		column := 1
		for _, f := range row.Fields {
			row.at = append(row.at, fieldAt{int32(number), int32(column)})
			column += len(f) + len(string(delimiter))
		}
		rows = append(rows, row)
	}
	return rows
}

// split is splitQuoted or splitPlain.
func split(name, text string, delimiter rune, quotes string) ([]Row, []Skip, error) {
	if quotes == QuotesNone {
		return splitPlain(text, delimiter), nil, nil
	}
	return splitQuoted(name, text, delimiter)
}

// tooMany is the error for a list longer than a show may be.
func tooMany(name string) error {
	return show.Problem{
		Severity: show.SeverityStop, Code: show.CodeCount, File: name,
		Found: fmt.Sprintf("more than %d rows", maxRows), Wanted: "a shorter list",
	}
}
