package ascii

import (
	"fmt"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

func TestText(t *testing.T) {
	t.Parallel()
	for _, tt := range []struct{ from, want string }{
		{"Quay", "Quay"},
		{"Brücke Süd", "Bruecke Sued"},
		{"Bru\u0308cke", "Bruecke"}, // in two characters
		{"ÜBUNG", "UEBUNG"},
		{"Übung", "Uebung"},
		{"STRAßE", "STRAssE"},
		{"große Öffnung", "grosse Oeffnung"},
		{"Château d'eau – été", "Chateau d'eau - ete"},
		{"cœur", "coeur"},
		{"Ærø", "Aeroe"},
		{"Ångström", "Aangstroem"},
		{"España, ¿dónde?", "Espana, ?donde?"},
		{"Łódź", "Lodz"},
		{"Příliš žluťoučký kůň", "Prilis zlutoucky kun"},
		{"İstanbul ığdır", "Istanbul igdir"},
		{"Þórr, Đorđe", "Thorr, Dorde"},
		{"„so“ – «ou» … ‘y’", "\"so\" - \"ou\" ... 'y'"},
		{"ﬁn de saison, Nº 5, m²", "fin de saison, No 5, m2"},
		{"Щука, Київ, Ђурђевдан", "Shchuka, Kiiv, Durdevdan"},
		{"ΠΥΡΟΣ Ωμέγα", "PYROS Omega"},
		{"ＡＢＣ １２", "ABC 12"},
		{"漢字", "{6F22}{5B57}"},
		{"きた", "{304D}{305F}"},
		{"🎆 5", "{1F386} 5"},
		{"\u0301", "{0301}"},
		{"µ ±3°", "u +-3 deg"},
		{"10 €", "10 EUR"},
	} {
		if got := Text(tt.from); got != tt.want {
			t.Errorf("Text(%q) = %q, want %q", tt.from, got, tt.want)
		}
	}
}

// TestICAO: Cyrillic letters as ICAO Doc 9303 has them for Russian passports
// (part 1, volume I, section IV, appendix 9: the recommended transliteration).
func TestICAO(t *testing.T) {
	t.Parallel()
	const letters = "А A Б B В V Г G Д D Е E Ж ZH З Z И I Й I К K Л L М M Н N О O П P Р R С S Т T У U Ф F Х KH Ц TS Ч CH Ш SH Щ SHCH Ы Y Ъ IE Э E Ю IU Я IA"
	list := strings.Fields(letters)
	for i := 0; i < len(list); i += 2 {
		if got := strings.ToUpper(Text(list[i])); got != list[i+1] {
			t.Errorf("%s becomes %q, want %q", list[i], got, list[i+1])
		}
	}
}

// TestTextIsASCII: whatever comes, nothing else is left, nothing is lost without a
// trace, and no question mark stands for anything.
func TestTextIsASCII(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		s := rapid.String().Draw(t, "s")
		got := Text(s)
		if !Is(got) {
			t.Fatalf("Text(%q) = %q", s, got)
		}
		if strings.Count(got, "?") > strings.Count(s, "?")+strings.Count(s, "¿")+strings.Count(s, "？") {
			t.Fatalf("Text(%q) = %q: question marks came of something else", s, got)
		}
	})
}

func TestKeep(t *testing.T) {
	t.Parallel()
	for _, tt := range []struct{ names, want []string }{
		{[]string{"Quai", "Quaï"}, []string{"Quai", "#2 Quai"}},
		{[]string{"Quaï", "Quai"}, []string{"#1 Quai", "Quai"}},
		{[]string{"Süd", "Sued", "#1 Sued"}, []string{"##1 Sued", "Sued", "#1 Sued"}},
		{[]string{"北の桟橋", "南の桟橋"}, []string{"{5317}{306E}{685F}{6A4B}", "{5357}{306E}{685F}{6A4B}"}},
		{[]string{"桟橋北", "桟橋南"}, []string{"#1 {685F}{6A4B}{5317}", "#2 {685F}{6A4B}{5357}"}}, // the same in 12 columns
		{[]string{"Müh", "Mühle"}, []string{"Mueh", "Muehle"}},
	} {
		var n Names
		n.Keep(12, tt.names)
		for i, name := range tt.names {
			if got := n.Text(name); got != tt.want[i] {
				t.Errorf("of %q %q becomes %q, want %q", tt.names, name, got, tt.want[i])
			}
		}
	}
}

// TestKeepInASentence: a name that is kept apart is so wherever it stands.
func TestKeepInASentence(t *testing.T) {
	t.Parallel()
	var n Names
	n.Keep(12, []string{"Quai", "Quaï", "Quaï Nord", "Quai Nord"})
	const want = "#3 Quai Nord is back, #2 Quai and Quai are not"
	if got := n.Text("Quaï Nord is back, Quaï and Quai are not"); got != want {
		t.Errorf("%q, want %q", got, want)
	}
}

// TestNamesStayApart: names that differ as they are written, differ in the columns
// that they are shown in.
func TestNamesStayApart(t *testing.T) {
	t.Parallel()
	name := rapid.StringOfN(rapid.RuneFrom([]rune("aeuäüéèAÄ 北南#12{}")), 1, 9, -1)
	rapid.Check(t, func(t *rapid.T) {
		names := rapid.SliceOfNDistinct(name, 2, 12, rapid.ID[string]).Draw(t, "names")
		var n Names
		n.Keep(12, names)
		seen := map[string]string{}
		for _, x := range names {
			shown := cut(n.Text(x), 12)
			if other, ok := seen[shown]; ok {
				t.Fatalf("%q and %q are both shown as %q", other, x, shown)
			}
			seen[shown] = x
		}
	})
}

func FuzzText(f *testing.F) {
	for _, s := range []string{"Brücke", "漢字", "\xff\xfe", "ÄÄ", "\u202e"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		if got := Text(s); !Is(got) {
			t.Errorf("Text(%q) = %q", s, got)
		}
	})
}

func ExampleText() {
	fmt.Println(Text("Mühle Süd – 3 Röhren"))
	// Output: Muehle Sued - 3 Roehren
}
