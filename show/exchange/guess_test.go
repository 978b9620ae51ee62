package exchange

import (
	"fmt"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

// foreign is a list of n cues with 100 mm shells, in columns that are named, cut and
// written as head, sep and row say.
func foreign(n int, head, row string) string {
	var b strings.Builder
	b.WriteString(head)
	effects := []string{"red peony shell", "gold comet", "silver mine", "blue dahlia shell"}
	for i := range n {
		at := 12.4 + 2.35*float64(i)
		pre := []float64{2.8, 0, 0, 2.2}[i%4]
		fmt.Fprintf(&b, row, i+1, at, at-pre, pre, []string{"Left", "Mid", "Right"}[i%3], fmt.Sprintf("M%d", 1+i/16), 1+i%16, effects[i%4], []int{100, 40, 50, 75}[i%4], "")
	}
	return b.String()
}

// TestGuess: what the columns of foreign lists are, without a word from anybody.
func TestGuess(t *testing.T) {
	t.Parallel()
	for _, c := range []struct{ name, text, want, settings string }{
		{"english", foreign(300, "No.;Break (s);Ignition;Site;Box;Output;Description;Size mm\n", "%d;%.3[2]f;%.3[3]f;%[5]s;%[6]s;%[7]d;%[8]s;%[9]d\n"),
			"cue=No. effect_at=Break (s) position=Site module=Box pin=Output effect=Description caliber_mm=Size mm ignite_at=Ignition", ""},
		{"german", strings.ReplaceAll(foreign(300, "Nr;Zeit;Vorlauf;Standort;Kasten;Kanal;Bezeichnung;Kaliber\n", "%d;%.2[2]f;%.1[4]f;%[5]s;%[6]s;%[7]d;%[8]s;%[9]d\n"), ".", ","),
			"cue=Nr effect_at=Zeit prefire=Vorlauf position=Standort module=Kasten pin=Kanal effect=Bezeichnung caliber_mm=Kaliber", ""},
		{"fired", foreign(40, "id,fire time,delay,location,what\n", "%d,%.3[3]f,%.1[4]f,%[5]s,%[8]s\n"),
			"cue=id effect_at=fire time prefire=delay position=location effect=what", "ignition"},
		{"no names", foreign(40, "", "%d,%.3[2]f,%[5]s,%[8]s\n"), "cue=1 effect_at=2 position=3 effect=4", ""},
		{"two times", foreign(40, "a,b,c,d\n", "%[5]s,%.3[3]f,%.3[2]f,%[8]s\n"), "effect_at=c position=a effect=d ignite_at=b", ""},
		{"inches", "cue,time,site,inch\n1,20.5,A,3\n2,41.0,A,4\n3,62.5,B,3\n4,81.5,B,6\n", "effect_at=time position=site caliber_mm=inch", "inch"},
	} {
		table, err := ReadTable(c.name, strings.NewReader(c.text), Profile{})
		if err != nil {
			t.Fatal(err)
		}
		p, guessed := Profile{}.Guess(table)
		var got []string
		for _, col := range guessed {
			got = append(got, col.String()+"="+p.Map[col][0].String())
		}
		if s := strings.Join(got, " "); s != c.want {
			t.Errorf("%s: %s\nwant %s", c.name, s, c.want)
		}
		if s := strings.Trim(p.Times+" "+p.CaliberUnit, " "); s != c.settings {
			t.Errorf("%s: settings %q, want %q", c.name, s, c.settings)
		}
		if res, err := Convert(table, p); err != nil || len(res.Cues) != len(table.Rows) {
			t.Errorf("%s: %v; %d rows", c.name, err, len(table.Rows))
		} else if res.Bare > 0 && c.name != "no names" && c.name != "inches" {
			t.Errorf("%s: %d of %d shells have no prefire", c.name, res.Bare, res.Shells)
		}
	}
}

// TestGuessLeavesWhatIsSettled: what a person has settled stays, empty or not.
func TestGuessLeavesWhatIsSettled(t *testing.T) {
	t.Parallel()
	table, err := ReadTable("list", strings.NewReader(foreign(40, "No.;Break (s);Lead;Site;Area;Description\n", "%d;%.3[2]f;%.1[4]f;%[5]s;%[6]s;%[8]s\n")), Profile{})
	if err != nil {
		t.Fatal(err)
	}
	given := Profile{Map: map[Column][]Ref{Position: {{Name: "Area"}}, Prefire: {}}, Fill: map[Column]string{Effect: "shell"}, Times: TimesEffect}
	p, guessed := given.Guess(table)
	if p.Map[Position][0].Name != "Area" || len(p.Map[Prefire]) > 0 || p.Map[Effect] != nil || p.Fill[Effect] != "shell" || p.Times != TimesEffect {
		t.Errorf("%+v", p)
	}
	if fmt.Sprint(guessed) != "[cue effect_at]" {
		t.Errorf("guessed %v", guessed)
	}
	if len(given.Map) != 2 {
		t.Error("the profile that was given has changed")
	}
}

// TestGuessOfAnything: whatever a list holds, no column of it is given twice, and
// each guess can be resolved.
func TestGuessOfAnything(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		cell := rapid.SampledFrom([]string{"", "1", "2", "3", "time", "cue", "pin", "Effect", "12.5", "1:02.5", "red peony", "A", "75 mm", "3\"", "00:00:10:05", "x"})
		width := rapid.IntRange(1, 9).Draw(t, "width")
		var b strings.Builder
		for range rapid.IntRange(1, 12).Draw(t, "rows") {
			for i := range width {
				if i > 0 {
					b.WriteByte(';')
				}
				b.WriteString(cell.Draw(t, "cell"))
			}
			b.WriteByte('\n')
		}
		table, err := ReadTable("list", strings.NewReader(b.String()), Profile{})
		if err != nil {
			return
		}
		p, _ := Profile{}.Guess(table)
		set, _ := p.Resolve(table)
		by := map[int]Column{}
		for c, list := range set {
			for _, i := range list {
				if other, twice := by[i]; twice {
					t.Fatalf("%s and %s are both made from column %d of\n%s", other, Column(c), i+1, b.String())
				}
				by[i] = Column(c)
			}
		}
		for c, refs := range p.Map {
			if len(set[c]) != len(refs) {
				t.Fatalf("%s = %v resolves to %v of\n%s", c, refs, set[c], b.String())
			}
		}
	})
}
