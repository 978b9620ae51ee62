package screen

import (
	"strings"
	"testing"

	"pgregory.net/rapid"
)

func TestSpelled(t *testing.T) {
	t.Parallel()
	for _, tt := range []struct{ from, want string }{
		{"plain\r\n", "plain\r\n"},
		{"Brücke Süd → 3 · ‘x’\n", "Bruecke Sued -> 3 . 'x'\n"},
		{"\x1b[1mMühle\x1b[0m", "\x1b[1mMuehle\x1b[0m"},
		{"花火 漢", "{82B1}{706B} {6F22}"},
	} {
		var b strings.Builder
		w := Spelled(&b)
		for i := range len(tt.from) { // byte by byte: no character comes whole
			if n, err := w.Write([]byte{tt.from[i]}); n != 1 || err != nil {
				t.Fatal(n, err)
			}
		}
		if b.String() != tt.want {
			t.Errorf("%q becomes %q, want %q", tt.from, b.String(), tt.want)
		}
	}
}

// However a text is cut into writes, the same is written, and ASCII alone.
func TestSpelledInAnyParts(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		text := rapid.StringN(0, 40, -1).Draw(t, "text")
		var b strings.Builder
		w := Spelled(&b)
		for rest := text; rest != ""; {
			n := rapid.IntRange(1, len(rest)).Draw(t, "n")
			if _, err := w.Write([]byte(rest[:n])); err != nil {
				t.Fatal(err)
			}
			rest = rest[n:]
		}
		for _, r := range b.String() {
			if r > 0x7f {
				t.Fatalf("%q becomes %q", text, b.String())
			}
		}
	})
}
