package exchange

import (
	"fmt"
	"strings"
	"testing"
	"testing/fstest"

	"drylane/show"
)

// BenchmarkImport reads, converts, writes and checks 50,000 cues.
func BenchmarkImport(b *testing.B) {
	var text strings.Builder
	text.WriteString("No.;Break;Lead;Site;Unit;Way;What;Size;Left;Remark\r\n")
	for i := range 50_000 {
		fmt.Fprintf(&text, "%d;%d:%02d,%d;2,2;Site %d;U%d;%d;\"red \"\"peony\"\" shell\";75;2,5;n\r\n", i+1, i/600, i/10%60, i%10, i%8, i%8+i/8000*8, i/8%1000+1)
	}
	var p Profile
	for _, m := range []string{"cue=1", "effect_at=Break", "prefire=Lead", "position=Site", "module=Unit", "pin=Way", "effect=What", "caliber_mm=Size", "burn=Left", "note=Remark"} {
		if err := p.SetMap(m); err != nil {
			b.Fatal(err)
		}
	}
	p.Times = TimesIgnition
	b.ReportAllocs()
	b.SetBytes(int64(text.Len()))
	for b.Loop() {
		res := convert(b, text.String(), p)
		if len(res.Cues) != 50_000 {
			b.Fatal(len(res.Cues), res.Skipped[0])
		}
		fsys := fstest.MapFS{}
		err := Folder{Soundtrack: "a.wav", Cues: res.Cues}.Write(func(name string, data []byte) error {
			fsys[name] = &fstest.MapFile{Data: data}
			return nil
		})
		if err != nil {
			b.Fatal(err)
		}
		if s, problems := show.LoadAll(fsys); s == nil {
			b.Fatal(problems)
		}
	}
}
