package show

import (
	"fmt"
	"io/fs"
	"strings"
	"testing"
	"testing/fstest"
	"time"
)

const listedShow = smallShow + `
[[position]]
name = "North"
[[position]]
name = "South"
[[module]]
name = "M1"
pins = 4
min_gap = "100ms"
[[module]]
name = "M2"
`

func TestCueListProblems(t *testing.T) {
	const head = "cue,effect_at,prefire,position,module,pin,effect,caliber_mm,burn,note\n"
	for _, c := range []struct {
		name, cues string
		want       []string
	}{
		{"empty", "", []string{"file cues.csv: found nothing: the file is empty"}},
		{"byte order mark only", "\uFEFF", []string{"file cues.csv: found nothing: the file is empty"}},
		{"blank lines only", "\n\n", []string{"file cues.csv: found no header row"}},
		{"header only", head, []string{"missing cues.csv: found a header and no cues"}},
		{"header and blank rows", head + ",,,,,,,,,\n , \n", []string{"missing cues.csv: found a header and no cues"}},
		{"UTF-16", "\xff\xfec\x00u\x00e\x00", []string{"file cues.csv: found text in UTF-16; wanted UTF-8"}},
		{"semicolons", "cue;effect_at;position\n1;5;A\n", []string{"syntax cues.csv:1:1: found columns that are not separated by commas"}},
		{"tabs", "cue\teffect_at\tposition\n", []string{"syntax cues.csv:1:1: found columns that are not separated by commas"}},

		{"unknown column", "cue,effect at,position\n1,5,North\n", []string{
			"column cues.csv:1: found no column effect_at; wanted the columns cue, effect_at and position at least",
			`column cues.csv:1:5: found the unknown column "effect at"; wanted one of cue, effect_at, prefire, position, module, pin, effect, caliber_mm, burn, note; did you mean "effect_at"?`,
		}},
		{"column twice", "cue,effect_at,position,note,note\n1,5,North,,\n", []string{"column cues.csv:1:29: found the column note a second time"}},
		{"columns missing", "note\nx\n", []string{
			"column cues.csv:1: found no column cue;", "column cues.csv:1: found no column effect_at;", "column cues.csv:1: found no column position;",
		}},
		{"field count", head + "1,5\n2,6,,North,,,,,,,\n3,5,,North,,,,,,\n", []string{
			"syntax cues.csv:2: found 2 fields; wanted 10, as in the header", "syntax cues.csv:3: found 11 fields",
		}},
		{"bare quote", head + "1,5,,North,,,12\" shell,,,\n2,5,,North,,,,,,\n", []string{`syntax cues.csv:2:16: found a quote inside a field that has none around it`}},
		{"after a quote", head + "1,5,,North,,,\"12\" shell,,,\n2,x,,North,,,,,,\n", []string{
			"syntax cues.csv:2:17: found a quoted field that does not end with its closing quote", `time cues.csv:3:3: found "x"`,
		}},
		{"open quote", head + "1,5,,North,,,\"shell,,,\n2,5,,North,,,,,,\n3,5,,North,,,,,,\n", []string{
			"syntax cues.csv:2: found a quote that opens here and does not close properly (looked up to line 4)",
		}},
		{"columns in characters", head + "花火é,5,,North,,,,-1,,\n", []string{`range cues.csv:2:17: found "-1" as caliber_mm`}},

		{"ids", head + ",5,,North,,,,,,\n1,5,,North,,,,,,\n1,6,,North,,,,,,\n", []string{
			"missing cues.csv:2:1: found no cue; wanted one in every line", `duplicate cues.csv:4:1: found "1" (already on line 3) as cue`,
		}},
		{"times", head + "1,,,North,,,,,,\n2,-5,,North,,,,,,\n3,NaN,1e3,North,,,,,1:60,\n4,\"83,250\",,North,,,,,,\n", []string{
			"missing cues.csv:2:3: found no effect_at; wanted seconds such as 83.250",
			`time cues.csv:3:3: found "-5" as effect_at`,
			`time cues.csv:4:3: found "NaN" as effect_at`, `time cues.csv:4:7: found "1e3" as prefire`, `time cues.csv:4:21: found "1:60" as burn; wanted minutes and seconds below 60`,
			`time cues.csv:5:3: found "83,250" as effect_at; wanted seconds such as 83.250 or m:ss.mmm, with a point, not a comma`,
		}},
		{"before the music", head + "1,2,2.001,North,,,,,,\n2,2,2,North,,,,,,\n", []string{`early cues.csv:2:5: found the ignition of cue "1" at -0:00.001`}},
		{"positions", head + "1,5,,Nroth,,,,,,\n2,5,,,,,,,,\n", []string{
			`unknown cues.csv:2:6: found "Nroth" as position; wanted a position that show.toml lists; did you mean "North"?`,
			"missing cues.csv:3:6: found no position",
		}},
		{"modules", head + "1,5,,North,M3,1,,,,\n2,7,,North,M1,1,,,,\n3,9,,South,M1,2,,,,\n", []string{
			`unknown cues.csv:2:12: found "M3" as module; wanted a module that show.toml lists; did you mean "M1"?`,
			`module cues.csv:4:12: found module "M1" at position "South", which stands at "North" on line 3`,
		}},
		{"a module whose first position is misspelt", head + "1,5,,Nroth,M1,1,,,,\n2,7,,North,M1,2,,,,\n3,9,,North,M1,3,,,,\n4,11,,South,M1,4,,,,\n5,13,,Sotuh,M1,4,,,,\n", []string{
			`unknown cues.csv:2:6: found "Nroth" as position`,
			`module cues.csv:5:13: found module "M1" at position "South", which stands at "North" on line 3`,
			`unknown cues.csv:6:7: found "Sotuh" as position`,
			`pin cues.csv:6:16: found pin 4 of module "M1"`,
		}},
		{"pins", head + "1,5,,North,,1,,,,\n2,5,,North,M1,5,,,,\n3,6,,North,M1,4,,,,\n4,7,,North,M1,4,,,,\n5,8,,South,M2,0,,,,\n6,8,,South,M2,2.5,,,,\n7,8,,South,M2,999,,,,\n", []string{
			"pin cues.csv:2:13: found pin 1 and no module",
			`pin cues.csv:3:15: found pin 5 of module "M1"; wanted one of its 4 pins`,
			`pin cues.csv:5:15: found pin 4 of module "M1", which the cue on line 4 has; wanted one cue on each pin`,
			`range cues.csv:6:15: found "0" as pin; wanted a whole number`, `range cues.csv:7:15: found "2.5" as pin`,
		}},
		{"calibers", head + "1,5,,North,,,,NaN,,\n2,5,,North,,,,1e2,,\n3,5,,North,,,,1300.1,,\n4,5,,North,,,,0x10,,\n5,5,,North,,,,1300,,\n6,5,,North,,,,.,,\n", []string{
			`range cues.csv:2:15: found "NaN" as caliber_mm`, `range cues.csv:3:15: found "1e2" as`, `range cues.csv:4:15:`, `range cues.csv:5:15:`, `range cues.csv:7:15:`,
		}},
		{"control characters", head + "1,5,,North,,,a\x00b,,,\n2,5,,North,,,\x1b[31m,,,\n", []string{
			"text cues.csv:2:15: found the control character U+0000", "text cues.csv:3:14: found the control character U+001B",
		}},
		{"not UTF-8", head + "1,5,,North,,,caf\xe9,,,\n", []string{"text cues.csv:2:17: found the byte 0xE9, which is not UTF-8"}},
		{"escapes in messages", head + "1,\u202e5,,North,,,,,,\n", []string{`time cues.csv:2:3: found "5" as effect_at`}},
		{"invisible", head + "A1,5,,North,,,,,,\nA\u200b1,5,,North,,,,,,\n", []string{
			`invisible cues.csv:3:1: found invisible characters in "A1" as cue`, `duplicate cues.csv:3:1: found "A1" (already on line 2) as cue`,
		}},
		{"gaps", head + "a,5.000,,North,M1,1,,,,\nb,5.099,,North,M1,2,,,,\nc,5.300,0.101,North,M1,3,,,,\nd,5.300,,South,M2,3,,,,\ne,5.300,,South,M2,4,,,,\n", []string{
			`gap cues.csv:3: found cue "b" 99ms after cue "a" (line 2) on module "M1"; wanted at least 100ms between them`,
		}},
	} {
		t.Run(c.name, func(t *testing.T) {
			_, problems := LoadAll(folderOf(listedShow, c.cues))
			wantProblems(t, problems, c.want...)
		})
	}
}

func TestCueListForms(t *testing.T) {
	want := Cue{ID: "1", EffectAt: 5 * time.Second, Position: "A", Note: "x y", Line: 2}
	for _, cues := range []string{
		"cue,effect_at,position,note\n1,5,A,x y\n",
		"cue,effect_at,position,note\r\n1,5,A,x y\r\n",
		"cue,effect_at,position,note\n1,5,A,x y",
		"\uFEFFcue,effect_at,position,note\n1,5,A,x y\n",
		"\uFEFF\"cue\",\"effect_at\",\"position\",\"note\"\n\"1\",\"5\",\"A\",\"x y\"\n",
		"note, position ,effect_at,cue\n x y ,A , 5,1\n",
		"cue,effect_at,position,note\n1,0:05.000,A,\"x\ny\"\n",
		"cue,effect_at,position,note\r\n1,0:00:05,A,\"x\r\ny\"\r\n",
		"cue,effect_at,position,note\n1,5,A,x\ty\n,,,\n\n",
	} {
		s, problems := LoadAll(folderOf(smallShow, cues))
		wantProblems(t, problems)
		if s == nil || len(s.Cues) != 1 || strings.Join(strings.Fields(s.Cues[0].Note), " ") != "x y" {
			t.Errorf("%q: got %+v", cues, s)
			continue
		}
		got := s.Cues[0]
		got.Note = "x y" // a CRLF inside a note is two spaces
		if got != want {
			t.Errorf("%q: got %+v, want %+v", cues, got, want)
		}
	}
}

// endless is a file that never ends, and counts what is read of it.
type endless struct {
	begin string
	fill  byte
	read  int
}

func (e *endless) Stat() (fs.FileInfo, error) { return nil, fs.ErrInvalid }
func (e *endless) Close() error               { return nil }
func (e *endless) Read(p []byte) (int, error) {
	n := copy(p, e.begin)
	e.begin = e.begin[n:]
	for i := n; i < len(p); i++ {
		p[i] = e.fill
	}
	e.read += len(p)
	return len(p), nil
}

// withFile is a folder with one file that is not in memory.
type withFile struct {
	fs.FS
	name string
	file fs.File
}

func (w withFile) Open(name string) (fs.File, error) {
	if name == w.name {
		return w.file, nil
	}
	return w.FS.Open(name)
}

func TestEndlessFilesAreBounded(t *testing.T) {
	const begin = "cue,effect_at,position\n1,5,A\n2,x,A\n3,"
	for _, c := range []struct {
		fill byte
		most int
		want string
	}{
		{'x', 3 * maxLine, "file cues.csv:4: found a line of more than 64 KiB"},
		{'"', 3 * maxLine, "file cues.csv:4: found a line of more than 64 KiB"},
		{'\n', maxLines + 3*maxLine, "file cues.csv:500001: found a file that is too large"},
	} {
		e := &endless{begin: begin, fill: c.fill}
		_, problems := LoadAll(withFile{folderOf(smallShow, ""), "cues.csv", e})
		if e.read > c.most {
			t.Errorf("%q: %d bytes read, want at most %d", c.fill, e.read, c.most)
		}
		wantProblems(t, problems[len(problems)-1:], c.want)
	}
	e := &endless{fill: '#'}
	_, problems := LoadAll(withFile{fstest.MapFS{}, showFile, e})
	wantProblems(t, problems, "file show.toml:1: found a line of more than 64 KiB")
}

func TestCueListLimits(t *testing.T) {
	var list strings.Builder
	list.WriteString("cue,effect_at,position\n")
	for i := range maxCues {
		fmt.Fprintf(&list, "%d,%d.%03d,A\n", i, i/1000, i%1000)
	}
	s, problems := LoadAll(folderOf(smallShow, list.String()))
	wantProblems(t, problems)
	if len(s.Cues) != maxCues {
		t.Errorf("%d cues, want %d", len(s.Cues), maxCues)
	}
	list.WriteString("more,5,A\nmore,5,A\n")
	_, problems = LoadAll(folderOf(smallShow, list.String()))
	wantProblems(t, problems, "count cues.csv:100002:1: found more than 100000 cues")
	_, problems = LoadAll(folderOf(smallShow, "cue,effect_at,position\n"+strings.Repeat("1,x,A\n", 1000)))
	if n := len(problems); n != maxProblems+1 || problems[n-1].Error() != "found more than 200 problems of severity stop; the rest are not listed" {
		t.Errorf("%d problems, the last %v; want %d and a line for the rest", n, problems[n-1], maxProblems)
	}
}

// TestGroupLimits: as many positions and modules as a show may have, and one more
// of each, which are told once, where they stand.
func TestGroupLimits(t *testing.T) {
	var list strings.Builder
	list.WriteString("cue,effect_at,position,module\n")
	row := func(i int) { fmt.Fprintf(&list, "%d,%d.%03d,P%d,M%d\n", i, i/1000, i%1000, i, i) }
	for i := range maxGroups {
		row(i)
	}
	s, problems := LoadAll(folderOf(smallShow, list.String()))
	wantProblems(t, problems)
	if len(s.Positions) != maxGroups || len(s.Modules) != maxGroups {
		t.Fatalf("%d positions, %d modules; want %d", len(s.Positions), len(s.Modules), maxGroups)
	}
	for i := range 3 {
		row(maxGroups + i)
	}
	_, problems = LoadAll(folderOf(smallShow, list.String()))
	wantProblems(t, problems, "count cues.csv:10002:14: found more than 10000 positions", "count cues.csv:10002:21: found more than 10000 modules")
}

func FuzzCueList(f *testing.F) {
	f.Add([]byte(newCues))
	f.Add([]byte("\uFEFFcue,effect_at,position,module,pin\r\n1,1:00,A,M,1\r\n'=2,5.5,\"A\"\"\n\",M,1\r\n"))
	f.Add([]byte("cue,effect_at,position\n1,5,\"A\n\x00,\xff\n"))
	f.Fuzz(func(t *testing.T, data []byte) {
		s, problems := LoadAll(fstest.MapFS{showFile: {Data: []byte(smallShow)}, "cues.csv": {Data: data}})
		checkProblems(t, problems, s == nil)
		if s == nil {
			return
		}
		var out strings.Builder
		if err := s.WriteCues(&out); err != nil {
			t.Fatal(err)
		}
		again, problems := LoadAll(folderOf(smallShow, out.String()))
		wantProblems(t, problems)
		if again != nil {
			wantSameCues(t, again.Cues, s.Cues)
		}
	})
}

// TestEverythingWrongWithACue: what is wrong with one column of a cue hides nothing
// that is wrong with another.
func TestEverythingWrongWithACue(t *testing.T) {
	_, problems := LoadAll(folderOf(smallShow, "cue,effect_at,prefire,position,module,pin,caliber_mm,burn\n"+
		"1,1,2,,M1,0,x,y\n"+
		"1,1,3,A,,4,75,1\n"))
	wantProblems(t, problems,
		`early cues.csv:2:5: found the ignition of cue "1" at -0:01.000`,
		`missing cues.csv:2:7: found no position`,
		`range cues.csv:2:11: found "0" as pin`,
		`range cues.csv:2:13: found "x" as caliber_mm`,
		`time cues.csv:2:15: found "y" as burn`,
		`duplicate cues.csv:3:1: found "1" (already on line 2) as cue`,
		`early cues.csv:3:5: found the ignition of cue "1" at -0:02.000`,
		`pin cues.csv:3:10: found pin 4 and no module`,
	)
}
