package exchange

import (
	"cmp"
	"encoding/csv"
	"slices"
	"strconv"
	"strings"
	"time"
	"unicode/utf8"

	"drylane/show"

	"golang.org/x/text/encoding/charmap"
)

// A Marker is a named moment in a sound or MIDI file.
type Marker struct {
	At     time.Duration // from the start, rounded to the nanosecond
	Label  string        // as MarkerText gives it
	Note   string        // likewise; WAV only
	Length time.Duration // of a region; 0 for a point; WAV only
}

// markerColumns are the columns of a table of markers: all of our cue list's.
var markerColumns = Listed

// MarkerTable makes a cue list from markers, one row each in the order of
// time, with our own columns. A marker that was written from a cue becomes that
// cue again; any other gives its number, its time, its label as the effect, its
// length as the burn and its note.
func MarkerTable(name string, markers []Marker) *Table {
	t := &Table{Name: name, Header: slices.Clone(markerColumns), Width: len(markerColumns), marker: true}
	t.Format = Format{Encoding: "utf-8", Delimiter: ",", Quotes: QuotesDouble, Header: "1"}
	markers = slices.Clone(markers)
	slices.SortStableFunc(markers, func(a, b Marker) int { return cmp.Compare(a.At, b.At) })
	for i, m := range markers {
		fields := make([]string, len(markerColumns))
		fields[Cue] = strconv.Itoa(i + 1)
		fields[Effect], fields[Note] = m.Label, m.Note
		if m.Length > 0 {
			fields[Burn] = decimalSeconds(m.Length)
		}
		if record := parseRecord(m.Note); record != nil {
			m.fromRecord(fields, record)
		}
		fields[EffectAt] = decimalSeconds(m.At)
		t.Rows = append(t.Rows, Row{Line: i + 1, Last: i + 1, Fields: fields})
	}
	return t
}

// Markers reports whether the rows are markers and not lines of a text.
func (t *Table) Markers() bool { return t.marker }

// fromRecord fills the fields of a marker that was a cue. What its label says
// of the effect is taken from the label, which may have been edited.
func (m Marker) fromRecord(fields []string, record map[Column]string) {
	clear(fields)
	for c, text := range record {
		fields[c] = text
	}
	id := clean(record[Cue])
	switch effect, ok := strings.CutPrefix(m.Label, id+" "); {
	case m.Label == id:
	case ok:
		fields[Effect] = shieldLike(effect)
	default:
		fields[Effect] = shieldLike(m.Label)
	}
}

// shieldLike puts an apostrophe before a text from which clean would take one
// away.
func shieldLike(s string) string {
	if clean(s) != s && clean("'"+s) == s {
		return "'" + s
	}
	return s
}

// decimalSeconds writes d exactly: seconds with nine decimals.
func decimalSeconds(d time.Duration) string {
	s := strconv.FormatInt(int64(d), 10)
	if len(s) <= 9 {
		s = strings.Repeat("0", 10-len(s)) + s
	}
	return s[:len(s)-9] + "." + s[len(s)-9:]
}

// CueMarkers returns a marker at the effect of each cue: the label is its id and
// effect, and the note holds the rest as column=value, separated and quoted as
// in CSV.
func CueMarkers(cues []show.Cue) []Marker {
	markers := make([]Marker, len(cues))
	for i, c := range cues {
		markers[i] = Marker{At: c.EffectAt, Label: strings.TrimSpace(c.ID + " " + c.Effect), Note: record(c)}
	}
	return markers
}

// record writes all of a cue but its time and effect as one line.
func record(c show.Cue) string {
	fields := []string{"cue=" + shieldLike(c.ID)}
	add := func(col Column, text string) {
		if text != "" {
			fields = append(fields, col.String()+"="+text)
		}
	}
	if c.Prefire != 0 {
		add(Prefire, decimalSeconds(c.Prefire))
	}
	add(Position, shieldLike(c.Position))
	add(Module, shieldLike(c.Module))
	if c.Pin != 0 {
		add(Pin, strconv.Itoa(c.Pin))
	}
	if c.Caliber != 0 {
		add(Caliber, strconv.FormatFloat(c.Caliber, 'f', -1, 64))
	}
	if c.Burn != 0 {
		add(Burn, decimalSeconds(c.Burn))
	}
	add(Note, shieldLike(c.Note))
	var b strings.Builder
	w := csv.NewWriter(&b)
	w.Write(fields) // a strings.Builder takes everything
	w.Flush()
	return strings.TrimSuffix(b.String(), "\n")
}

// parseRecord is the inverse of record; nil for a note that is none.
func parseRecord(note string) map[Column]string {
	if !strings.HasPrefix(strings.TrimLeft(note, `"`), "cue=") {
		return nil
	}
	r := csv.NewReader(strings.NewReader(note))
	fields, err := r.Read()
	if err != nil {
		return nil
	}
	values := map[Column]string{}
	for _, f := range fields {
		name, value, ok := strings.Cut(f, "=")
		c, known := columnNamed(name)
		if !ok || !known || c == IgniteAt {
			return nil
		}
		values[c] = value
	}
	return values
}

// MarkerText decodes the text of a marker, which is in no stated encoding: UTF-8
// if it is that, else Windows-1252. It ends at the first zero byte.
func MarkerText(raw string) string {
	s, _, _ := strings.Cut(raw, "\x00")
	if !utf8.ValidString(s) {
		if d, err := charmap.Windows1252.NewDecoder().String(s); err == nil {
			s = d
		}
	}
	return strings.TrimSpace(show.Clean(s))
}
