package exchange

import (
	"bytes"
	"testing"
	"time"

	"drylane/show"
)

// accounted fails if a row of the table is neither a cue, skipped nor blank, or
// if a cue could not stand in a show.
func accounted(t *testing.T, table *Table, res *Result) {
	t.Helper()
	if n := len(res.Cues) + len(res.Skipped) + res.Blank; n != len(table.Rows)+len(table.Skips) {
		t.Fatalf("%d of %d rows accounted for", n, len(table.Rows)+len(table.Skips))
	}
	ids := map[string]bool{}
	for _, c := range res.Cues {
		if c.ID == "" || c.Position == "" || ids[c.ID] || c.IgniteAt() < 0 || c.EffectAt > show.MaxTime || c.EffectAt%time.Millisecond != 0 {
			t.Fatalf("%+v", c)
		}
		ids[c.ID] = true
	}
	for _, s := range res.Skipped {
		if len(s.Problems) == 0 || show.Clean(s.Text) != s.Text {
			t.Fatalf("%+v", s)
		}
	}
}

func FuzzReadTable(f *testing.F) {
	f.Add([]byte("cue,effect_at,position\n1,5,A\n1,0:06,\"B\"x\n"), "", "", "")
	f.Add([]byte("No.;Break (s)\r\n1;5,5\r\n"), ";", "2", "none")
	f.Add(utf16Bytes("\uFEFFcue\teffect_at\n1\t5\n", true), "tab", "1", "")
	f.Add([]byte("a,b\n\"1,2\n3,4"), "", "", "double")
	f.Add([]byte("cue,effect_at\n3\" shell,\"x\"\n"), "", "", "double")
	f.Fuzz(func(t *testing.T, data []byte, delimiter, header, quotes string) {
		p := Profile{Format: Format{Delimiter: delimiter, Header: header}, Fill: map[Column]string{Position: "A"}}
		if quotes == QuotesNone || quotes == QuotesDouble {
			p.Quotes = quotes
		}
		table, err := ReadTable("x", bytes.NewReader(data), p)
		if err != nil {
			return
		}
		for i, r := range table.Rows {
			if len(r.Fields) == 0 || r.Line < 1 || r.Last < r.Line || i > 0 && r.Line < table.Rows[i-1].Line {
				t.Fatalf("%+v", r)
			}
		}
		if table.Header == nil {
			p.SetMap("effect_at=1")
		}
		if res, err := Convert(table, p); err == nil {
			accounted(t, table, res)
		}
	})
}

func FuzzReadProfile(f *testing.F) {
	f.Add([]byte("times = \"effect\"\nrate = 25\n[map]\ncue = 1\nnote = [\"a\", 2]\n[fill]\nposition = \"A\"\n"))
	f.Fuzz(func(t *testing.T, data []byte) {
		p, err := ReadProfile("x", bytes.NewReader(data))
		if err != nil {
			return
		}
		var b bytes.Buffer
		if err := p.Write(&b); err != nil {
			t.Fatal(err)
		}
		if _, err := ReadProfile("x", &b); err != nil {
			t.Fatalf("what was written is not read: %v", err)
		}
	})
}

func FuzzReadSMFMarkers(f *testing.F) {
	f.Add(midi("\x01\xE0", "\x00\xFF\x51\x03\x07\xA1\x20\x87\x40\xFF\x06\x01a"+endOfTrack))
	f.Add(midi("\xE3\x01", "\x1E\xFF\x06\x01a\x00\x90\x3C\x40\x01\x3C\x00"+endOfTrack))
	f.Fuzz(func(t *testing.T, data []byte) {
		markers, err := ReadSMFMarkers("x", bytes.NewReader(data))
		if err != nil {
			return
		}
		for i, m := range markers {
			if m.At < 0 || m.At > show.MaxTime || i > 0 && m.At < markers[i-1].At {
				t.Fatalf("marker %d at %v", i, m.At)
			}
		}
	})
}
