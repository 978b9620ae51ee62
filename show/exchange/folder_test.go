package exchange

import (
	"bytes"
	"fmt"
	"reflect"
	"strings"
	"testing"
	"testing/fstest"
	"time"

	"drylane/show"

	"pgregory.net/rapid"
)

// cues draws cue lists that a show may hold: ids and pins of their own, a
// module at one position, times in whole milliseconds.
func cues(t *rapid.T) []show.Cue {
	text := rapid.Custom(func(t *rapid.T) string {
		return strings.TrimSpace(show.Clean(rapid.StringOfN(rapid.RuneFrom([]rune(`abcü 0123=+-@'",;:/[]|`+"＝")), 0, 12, -1).Draw(t, "s")))
	})
	ms := func(most int64, name string) time.Duration {
		return time.Duration(rapid.Int64Range(0, most).Draw(t, name)) * time.Millisecond
	}
	n := rapid.IntRange(1, 12).Draw(t, "cues")
	list := make([]show.Cue, n)
	for i := range list {
		c := &list[i]
		c.ID = fmt.Sprintf("%s.%d", text.Draw(t, "id"), i) // no text has a point: the ids differ
		c.Prefire, c.Burn = ms(5000, "prefire"), ms(9000, "burn")
		c.EffectAt = c.Prefire + ms(3_600_000, "at")
		c.Position = "P" + text.Draw(t, "position")
		if rapid.Bool().Draw(t, "module") {
			c.Module, c.Pin = fmt.Sprintf("M%d", i), i+1
		}
		c.Effect, c.Note = text.Draw(t, "effect"), text.Draw(t, "note")
		c.Family = show.FamilyOf(c.Effect)
		c.Caliber = rapid.SampledFrom([]float64{0, 30, 75, 76.2, 101.6}).Draw(t, "caliber")
		c.Line = i + 2
	}
	return list
}

// load writes the folder and loads it.
func load(t interface{ Fatal(...any) }, f Folder) *show.Show {
	fsys := fstest.MapFS{}
	if err := f.Write(func(name string, data []byte) error {
		fsys[name] = &fstest.MapFile{Data: data}
		return nil
	}); err != nil {
		t.Fatal(err)
	}
	s, err := show.Load(fsys)
	if err != nil {
		t.Fatal(err, string(fsys["show.toml"].Data), string(fsys["cues.csv"].Data))
	}
	return s
}

// sameCues compares cues by all but the line they stand on, in any order.
func sameCues(a, b []show.Cue) bool {
	byID := func(list []show.Cue) map[string]show.Cue {
		m := map[string]show.Cue{}
		for _, c := range list {
			c.Line = 0
			m[c.ID] = c
		}
		return m
	}
	return len(a) == len(b) && reflect.DeepEqual(byID(a), byID(b))
}

// TestExportImport: cues written as CSV, read again by their own names and put
// into a folder, load as they were.
func TestExportImport(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		want := cues(t)
		var b bytes.Buffer
		if err := (&show.Show{Cues: want}).WriteCues(&b); err != nil {
			t.Fatal(err)
		}
		table, err := ReadTable("x", bytes.NewReader(b.Bytes()), Profile{})
		if err != nil {
			t.Fatal(err)
		}
		res, err := Convert(table, Profile{})
		if err != nil || len(res.Skipped) > 0 || len(res.Notes) > 0 || res.Rounded > 0 {
			t.Fatalf("%v %+v", err, res)
		}
		if got := load(t, Folder{Title: "x", Soundtrack: "a.wav", Cues: res.Cues}).Cues; !sameCues(got, want) {
			t.Fatalf("%+v\nwant %+v\n%s", got, want, b.String())
		}
	})
}

func TestFolder(t *testing.T) {
	s := load(t, Folder{Title: `The "Pier"`, Soundtrack: "a b.wav", SHA256: strings.Repeat("0a", 32), Cues: []show.Cue{
		{ID: "1", Position: "B", Module: "M2"}, {ID: "2", Position: "A"}, {ID: "3", Position: "B", Module: "M1"},
	}})
	if s.Title != `The "Pier"` || s.Soundtrack.File != "a b.wav" || s.Soundtrack.SHA256 != strings.Repeat("0a", 32) {
		t.Errorf("%q %+v", s.Title, s.Soundtrack)
	}
	if len(s.Positions) != 2 || s.Positions[0].Name != "B" || len(s.Modules) != 2 || s.Modules[0].Name != "M2" {
		t.Errorf("positions %+v, modules %+v; want those of the cues as they come", s.Positions, s.Modules)
	}
}
