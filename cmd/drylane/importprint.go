package main

import (
	"fmt"
	"io"
	"strconv"
	"strings"
	"text/tabwriter"
	"time"

	"drylane/show"
	"drylane/show/exchange"
	"drylane/show/timebase"
	"drylane/show/words"
)

// printImport tells how the file was read, what was taken from where, and all
// that was not.
func printImport(e *env, t *exchange.Table, res *exchange.Result, p exchange.Profile) {
	fmt.Fprintln(e.out, howRead(t))
	var from []string
	for c, titles := range res.Sources {
		if len(titles) > 0 {
			from = append(from, fmt.Sprintf("%s from %s", exchange.Column(c), strings.Join(titles, " + ")))
		}
	}
	fmt.Fprintln(e.out, strings.Join(from, ", "))
	fmt.Fprintln(e.out, counts(res))
	for _, s := range res.Skipped {
		for _, p := range s.Problems {
			fmt.Fprintf(e.errOut, "skipped: %v\n", p)
		}
		fmt.Fprintf(e.errOut, "         %s\n", strings.TrimSpace(s.Text))
	}
	for _, n := range res.Notes {
		fmt.Fprintf(e.errOut, "note: %v\n", n)
	}
	for _, w := range cautions(res) {
		fmt.Fprintln(e.errOut, "warn: "+w)
	}
	for _, n := range remarks(res) {
		fmt.Fprintln(e.errOut, "note: "+n)
	}
}

// howRead says how a file was taken.
func howRead(t *exchange.Table) string {
	if t.Markers() {
		return fmt.Sprintf("%s: %s", t.Name, words.Count(len(t.Rows), "marker"))
	}
	header := "no line with the columns' names"
	if t.Header != nil {
		header = "columns named on line " + t.Format.Header
	}
	delimiter := t.Format.Delimiter
	if delimiter != "tab" {
		delimiter = strconv.Quote(delimiter)
	}
	return fmt.Sprintf("%s: %s, separated by %s, %s", t.Name, t.Format.Encoding, delimiter, header)
}

// counts says how many rows became cues.
func counts(res *exchange.Result) string {
	s := words.Count(len(res.Cues), "cue")
	if len(res.Cues) > 0 {
		from, to := res.Cues[0].EffectAt, res.Cues[0].EffectAt
		for _, c := range res.Cues {
			from, to = min(from, c.EffectAt), max(to, c.EffectAt)
		}
		s += fmt.Sprintf(" with effects from %s to %s", timebase.ClockMillis(from), timebase.ClockMillis(to))
	}
	return s + fmt.Sprintf(", %d skipped", len(res.Skipped))
}

// cautions are what may make a show that is not the one in the list.
func cautions(res *exchange.Result) []string {
	var list []string
	if res.Bare > 0 {
		list = append(list, fmt.Sprintf("%d of %s without a prefire: they would be fired when they should be seen; give --map prefire=COLUMN, or --map ignite_at=COLUMN for the time of ignition",
			res.Bare, words.Count(res.Shells, "shell")))
	}
	if len(res.Times) > 0 {
		list = append(list, "left out, and it looks like a time: "+strings.Join(quoteAll(res.Times), ", ")+"; --map ignite_at=COLUMN or --map prefire=COLUMN takes it")
	}
	return list
}

// remarks are what is to be known of a result as a whole.
func remarks(res *exchange.Result) []string {
	var list []string
	add := func(n int, format string, args ...any) {
		if n > 0 {
			list = append(list, fmt.Sprintf(format, args...))
		}
	}
	add(res.More, "notes of the kinds above that are not listed: %d", res.More)
	add(res.Rounded, "times rounded to the millisecond: %d", res.Rounded)
	add(res.Cleaned, "texts that had line breaks, control or invisible characters, which were taken out: %d", res.Cleaned)
	add(res.Blank, "rows with nothing in them: %d", res.Blank)
	add(res.Short, "rows with fewer fields than there are columns, the missing ones taken as empty: %d", res.Short)
	add(res.ThreeParts, "times such as 1:02:03, read as h:mm:ss: %d; if the last part counts frames, give --notation frames and --rate", res.ThreeParts)
	if n := len(res.Unused); n > 0 {
		columns := "column"
		if n > 1 {
			columns = words.Plural(columns)
		}
		list = append(list, "left out: the "+columns+" "+strings.Join(quoteAll(res.Unused), ", ")+`; --map note="COLUMN" keeps one in the note`)
	}
	return list
}

func quoteAll(list []string) []string {
	out := make([]string, len(list))
	for i, s := range list {
		out[i] = strconv.Quote(s)
	}
	return out
}

// previewRows is how many rows a preview shows.
const previewRows = 10

// printPreview shows the first cues as the show would have them.
func printPreview(w io.Writer, cues []show.Cue) error {
	t := tabwriter.NewWriter(w, 0, 0, 2, ' ', 0)
	fmt.Fprintln(t, strings.Join(exchange.Listed, "\t"))
	for _, c := range cues[:min(previewRows, len(cues))] {
		fmt.Fprintln(t, strings.Join(cueFields(c), "\t"))
	}
	return t.Flush()
}

// cueFields are a cue's values as text, in the order of the columns.
func cueFields(c show.Cue) []string {
	positive := func(d time.Duration) string {
		if d == 0 {
			return ""
		}
		return timebase.ClockMillis(d)
	}
	pin, caliber := "", ""
	if c.Pin != 0 {
		pin = strconv.Itoa(c.Pin)
	}
	if c.Caliber != 0 {
		caliber = strconv.FormatFloat(c.Caliber, 'f', -1, 64)
	}
	return []string{c.ID, timebase.ClockMillis(c.EffectAt), positive(c.Prefire), c.Position, c.Module, pin, c.Effect, caliber, positive(c.Burn), c.Note}
}
