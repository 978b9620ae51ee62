package show

import (
	"cmp"
	"fmt"
	"slices"
	"strings"
)

// A Severity says what a problem forbids.
type Severity uint8

// The severities, from the mildest.
const (
	SeverityNote Severity = iota // worth knowing
	SeverityWarn                 // may be wrong; the show can be rehearsed
	SeverityStop                 // the show cannot be used as it is
)

// String returns note, warn or stop.
func (s Severity) String() string {
	switch s {
	case SeverityNote:
		return "note"
	case SeverityWarn:
		return "warn"
	}
	return "stop"
}

// A Problem is one thing wrong in a show folder and where it stands. Its texts
// are safe to print: what they repeat of a file is cleaned, cut and quoted.
type Problem struct {
	Severity Severity
	Code     string // one of the Code constants
	File     string // in the show folder
	Line     int    // from 1; 0 when the problem has no line
	Column   int    // in characters, from 1; 0 when it has no column
	Found    string // such as `"1:7x.3" as effect_at`
	Wanted   string // such as `seconds such as 83.250 or m:ss.mmm`
	Err      error  // what lies behind it, such as fs.ErrNotExist; often nil
}

// What a problem is about. The names are stable: they are for filters and
// tests, the wording is for people.
const (
	CodeFile      = "file"      // a file cannot be read, is too large or empty
	CodeText      = "text"      // characters that do not belong in a text file
	CodeSyntax    = "syntax"    // not TOML, not CSV
	CodeKey       = "key"       // unknown key in show.toml
	CodeColumn    = "column"    // unknown, missing or repeated column
	CodeMissing   = "missing"   // a required value is not there
	CodeType      = "type"      // a value of the wrong type
	CodeRange     = "range"     // a number outside its limits
	CodeValue     = "value"     // a value that is not one of those allowed
	CodePath      = "path"      // a path that leads out of the folder
	CodeTime      = "time"      // a time that does not read as one
	CodeDuplicate = "duplicate" // a name or an id used twice
	CodeUnknown   = "unknown"   // a name that show.toml does not list
	CodePin       = "pin"       // a pin used twice, without a module or past its end
	CodeModule    = "module"    // one module at two positions
	CodeGap       = "gap"       // cues closer than their module can follow
	CodeEarly     = "early"     // ignition before the start of the music
	CodeLate      = "late"      // ignition or effect after the end of the music
	CodeWitness   = "witness"   // the witness tone and its cue are apart
	CodeMore      = "more"      // further problems are not listed
	CodeInvisible = "invisible" // characters that cannot be seen were left out
	CodeCount     = "count"     // more cues, positions or modules than a show may hold
)

// fileLimit bounds, in characters, the name of a file in a message.
const fileLimit = 240

// Error returns one line: file:line:column: found this; wanted that.
func (p Problem) Error() string {
	var b strings.Builder
	if p.File != "" {
		b.WriteString(Shorten(p.File, fileLimit))
		if p.Line > 0 {
			fmt.Fprintf(&b, ":%d", p.Line)
			if p.Column > 0 {
				fmt.Fprintf(&b, ":%d", p.Column)
			}
		}
		b.WriteString(": ")
	}
	b.WriteString("found ")
	b.WriteString(Clean(p.Found))
	if p.Wanted != "" {
		b.WriteString("; wanted ")
		b.WriteString(Clean(p.Wanted))
	}
	return b.String()
}

// Unwrap returns Err.
func (p Problem) Unwrap() error { return p.Err }

// Problems are all that was found wrong in one go, by file and line. As an
// error they print one problem a line, and errors.Is and errors.As look into
// each of them.
type Problems []Problem

// Error returns one line for each problem.
func (ps Problems) Error() string {
	lines := make([]string, len(ps))
	for i, p := range ps {
		lines[i] = p.Error()
	}
	return strings.Join(lines, "\n")
}

// Unwrap returns the problems one by one.
func (ps Problems) Unwrap() []error {
	errs := make([]error, len(ps))
	for i, p := range ps {
		errs[i] = p
	}
	return errs
}

// Stop reports whether any of the problems is a SeverityStop.
func (ps Problems) Stop() bool {
	return slices.ContainsFunc(ps, func(p Problem) bool { return p.Severity == SeverityStop })
}

// sortProblems puts show.toml first, as it names the other files, then goes by
// file, line and column. The line that says that there are more comes last.
func sortProblems(ps Problems) {
	slices.SortStableFunc(ps, func(a, b Problem) int {
		return cmp.Or(
			cmp.Compare(rank(a), rank(b)),
			cmp.Compare(a.File, b.File),
			cmp.Compare(a.Line, b.Line),
			cmp.Compare(a.Column, b.Column))
	})
}

func rank(p Problem) int {
	switch {
	case p.Code == CodeMore:
		return 2
	case p.File == showFile:
		return 0
	}
	return 1
}
