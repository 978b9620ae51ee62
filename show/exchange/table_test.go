package exchange

import (
	"bytes"
	"reflect"
	"slices"
	"strings"
	"testing"
	"unicode/utf16"

	"drylane/show"

	"pgregory.net/rapid"
)

// read is ReadTable of a text.
func read(t testing.TB, text string, p Profile) *Table {
	t.Helper()
	table, err := ReadTable("list.csv", strings.NewReader(text), p)
	if err != nil {
		t.Fatal(err)
	}
	return table
}

func fieldsOf(t *Table) [][]string {
	var out [][]string
	for _, r := range t.Rows {
		out = append(out, r.Fields)
	}
	return out
}

// utf16Bytes encodes s by the standard library, not by the one used for reading.
func utf16Bytes(s string, big bool) []byte {
	var b []byte
	for _, u := range utf16.Encode([]rune(s)) {
		if big {
			b = append(b, byte(u>>8), byte(u))
		} else {
			b = append(b, byte(u), byte(u>>8))
		}
	}
	return b
}

func TestEncodings(t *testing.T) {
	const text = "cue,effect_at,position\n1,5,Kühlhaus Süd\n"
	// ü is 0xFC in Latin-1 and Windows-1252 (ISO 8859-1); 0x80 is the euro
	// sign in Windows-1252 and a control character in Latin-1 (from memory).
	latin := strings.ReplaceAll(text, "ü", "\xFC")
	for _, c := range []struct {
		name, want string
		data       []byte
		position   string
	}{
		{"plain", "utf-8", []byte(text), "Kühlhaus Süd"},
		{"utf-8 with mark", "utf-8", []byte("\uFEFF" + text), "Kühlhaus Süd"},
		{"utf-16le with mark", "utf-16le", utf16Bytes("\uFEFF"+text, false), "Kühlhaus Süd"},
		{"utf-16be with mark", "utf-16be", utf16Bytes("\uFEFF"+text, true), "Kühlhaus Süd"},
		{"utf-16le without", "utf-16le", utf16Bytes(text, false), "Kühlhaus Süd"},
		{"utf-16be without", "utf-16be", utf16Bytes(text, true), "Kühlhaus Süd"},
		{"latin-1", "latin-1", []byte(latin), "Kühlhaus Süd"},
		{"windows-1252", "windows-1252", []byte(strings.ReplaceAll(latin, "haus", "\x80")), "Kühl€ Süd"},
	} {
		table, err := ReadTable("x", bytes.NewReader(c.data), Profile{})
		if err != nil {
			t.Errorf("%s: %v", c.name, err)
			continue
		}
		if table.Format.Encoding != c.want || table.Header[0] != "cue" || table.Rows[0].Fields[2] != c.position {
			t.Errorf("%s: read as %s: %q %q; want %s and %q", c.name, table.Format.Encoding, table.Header, table.Rows[0].Fields, c.want, c.position)
		}
	}
}

func TestSniff(t *testing.T) {
	for _, c := range []struct {
		name, text        string
		delimiter, quotes string
		header            string
		rows              [][]string
	}{
		{"comma", "cue,effect_at\n1,5\n", ",", "double", "1", [][]string{{"1", "5"}}},
		{"tab", "cue\teffect_at\n1\t5\n", "tab", "double", "1", [][]string{{"1", "5"}}},
		{"empty fields between tabs", "a\tb\tc\n\t\t3\n", "tab", "double", "1", [][]string{{"", "", "3"}}},
		{"semicolon and decimal comma", "cue;effect_at;prefire\n1;5,5;2,2\n2;6,5;1,1\n", ";", "double", "1", [][]string{{"1", "5,5", "2,2"}, {"2", "6,5", "1,1"}}},
		{"no header, decimal commas", "1;5,5;2,2\n2;6,5;1,1\n", ";", "double", "none", [][]string{{"1", "5,5", "2,2"}, {"2", "6,5", "1,1"}}},
		{"semicolons in quoted texts", "cue,note\n1,\"a;b\"\n2,\"c;d\"\n", ",", "double", "1", [][]string{{"1", "a;b"}, {"2", "c;d"}}},
		{"inches", "cue,size\n1,3\" shell\n", ",", "none", "1", [][]string{{"1", `3" shell`}}},
		{"inches beside quotes", "cue,size,note\n1,3\" shell,\"a, \"\"b\"\"\"\n", ",", "double", "1", [][]string{{"1", `3" shell`, `a, "b"`}}},
		{"quotes behind blanks", "cue, note\n1, \"a,b\"\n", ",", "double", "1", [][]string{{"1", "a,b"}}},
		{"old line ends", "cue,effect_at\r1,5\r2,6", ",", "double", "1", [][]string{{"1", "5"}, {"2", "6"}}},
		{"a title above", "The pier;;\n\nNo.;At;Where\n1;5;A\n", ";", "double", "3", [][]string{{"1", "5", "A"}}},
		{"one column", "effect_at\n5\n6\n", ",", "double", "1", [][]string{{"5"}, {"6"}}},
		{"line break in quotes", "cue,note\n1,\"a\nb\"\n2,c\n", ",", "double", "1", [][]string{{"1", "a\nb"}, {"2", "c"}}},
	} {
		table := read(t, c.text, Profile{})
		f := table.Format
		if f.Delimiter != c.delimiter || f.Quotes != c.quotes || f.Header != c.header {
			t.Errorf("%s: %+v; want delimiter %s, quotes %s, header %s", c.name, f, c.delimiter, c.quotes, c.header)
		}
		if got := fieldsOf(table); !reflect.DeepEqual(got, c.rows) {
			t.Errorf("%s: %q; want %q", c.name, got, c.rows)
		}
	}
}

func TestHeaderByMappedNames(t *testing.T) {
	p := Profile{Map: map[Column][]Ref{EffectAt: {{Name: "2 At"}}, Position: {{Name: "Where"}}}}
	table := read(t, "Pier,2026\nplan,7\n2 At,Where\n5,A\n", p)
	if table.Format.Header != "3" || len(table.Skips) != 2 || table.Skips[1].Line != 2 {
		t.Errorf("header on line %s, %+v skipped; want line 3 and both lines above it", table.Format.Header, table.Skips)
	}
}

func TestReadTableErrors(t *testing.T) {
	for _, c := range []struct{ name, text, delimiter, header, encoding, want string }{
		{"empty", " \n", "", "", "", "list.csv: found nothing: the file is empty"},
		{"a packed spreadsheet", "PK\x03\x04xyz", "", "", "", "found a packed file"},
		{"a WAV file", "RIFF....WAVE", "", "", "", "--from-markers"},
		{"not UTF-8", "a,b\n1,\xFFx\n", "", "", "utf-8", "list.csv:2:3: found the byte 0xFF"},
		{"a zero", "a,b\n1,x\x00\n", "", "", "", "list.csv:2:4: found a zero byte"},
		{"open quote", "a,b\n1,\"x\n2,y\n3,z\n", "", "", "", "list.csv:2: found a quote that opens here and never closes"},
		{"delimiter", "a,b\n", "ab", "", "", `found "ab" as delimiter`},
		{"quote as delimiter", "a,b\n", `"`, "", "", "as delimiter"},
		{"header", "a,b\n\n1,2\n", "", "2", "", `found "2" as the line`},
		{"too wide", strings.Repeat(",", maxFields+1), ",", "none", "", "found more than 4000000 fields"},
		{"too long", strings.Repeat("1\n", maxRows+1), "", "none", "", "found more than 100000 rows"},
	} {
		_, err := ReadTable("list.csv", strings.NewReader(c.text), Profile{Format: Format{Delimiter: c.delimiter, Header: c.header, Encoding: c.encoding}})
		if err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s: %v; want %q", c.name, err, c.want)
		}
	}
}

func TestBrokenRowIsSkippedAndTold(t *testing.T) {
	table := read(t, "cue,effect_at,position\n1,5,\"A\"x\n2,6,B\n", Profile{})
	if len(table.Rows) != 1 || len(table.Skips) != 1 {
		t.Fatalf("%q, skipped %+v", fieldsOf(table), table.Skips)
	}
	s := table.Skips[0]
	if s.Line != 2 || !strings.HasPrefix(s.Text, `1,5,"A"x`) || !strings.HasPrefix(s.Problems.Error(), "list.csv:2: found a quoted field") {
		t.Errorf("%+v", s)
	}
}

// TestPlaces: a problem's line and column are those an editor shows.
func TestPlaces(t *testing.T) {
	res, err := Convert(read(t, "cue;note;effect_at;position\n1;\"Kühl\nhaus\";x5;A\n", Profile{}), Profile{})
	if err != nil || len(res.Skipped) != 1 {
		t.Fatalf("%v %+v", err, res)
	}
	p := res.Skipped[0].Problems[0]
	if p.Line != 3 || p.Column != 7 || p.Code != show.CodeTime {
		t.Errorf("%v; want line 3, column 7", p)
	}
}

// TestQuotedRoundTrip: what is written by the rules is read as it was.
func TestQuotedRoundTrip(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		delimiter := rapid.SampledFrom([]string{",", ";", "\t"}).Draw(t, "delimiter")
		cell := rapid.StringOf(rapid.RuneFrom([]rune("abü\",;\t\n 5")))
		width := rapid.IntRange(1, 4).Draw(t, "width")
		rows := rapid.SliceOfN(rapid.SliceOfN(cell, width, width), 1, 8).Draw(t, "rows")
		var b strings.Builder
		for _, r := range rows {
			for i, f := range r {
				if i > 0 {
					b.WriteString(delimiter)
				}
				b.WriteString(`"` + strings.ReplaceAll(f, `"`, `""`) + `"`)
			}
			b.WriteString("\n")
		}
		d, _, _ := strings.Cut(strings.ReplaceAll(delimiter, "\t", "tab"), "\x00")
		table, err := ReadTable("x", strings.NewReader(b.String()), Profile{Format: Format{Delimiter: d, Header: "none", Quotes: QuotesDouble}})
		if err != nil {
			t.Fatal(err)
		}
		if got := fieldsOf(table); !slices.EqualFunc(got, rows, slices.Equal) {
			t.Fatalf("%q; want %q", got, rows)
		}
	})
}
