package show

import (
	"strings"
	"testing"
	"unicode"
	"unicode/utf8"

	"github.com/charmbracelet/x/ansi"
	"golang.org/x/text/unicode/bidi"
)

func TestClean(t *testing.T) {
	for in, want := range map[string]string{
		"":                                       "",
		"Left flank 3":                           "Left flank 3",
		"a\x1b[31mred":                           "a[31mred",
		"bell\x07\x00\x7f":                       "bell",
		"csi\u009b31m":                           "csi31m",
		"one\r\ntwo\tthree":                      "one  two three",
		"line\u2028paragraph\u2029":              "line paragraph ",
		"a\u202eb\u202c":                         "ab", // right-to-left override, pop
		"a\u2066b\u2069\u200e":                   "ab", // isolates, mark
		"z\u200bw\u200d\u2060\ufeff":             "zw", // zero-width space, joiner, word joiner, BOM
		"soft\u00adhyphen":                       "softhyphen",
		"tag\U000E0041":                          "tag",
		"filler\u3164\u115f":                     "filler",
		"heart\u2764\ufe0f":                      "heart\u2764",
		"bad\xff\xfe":                            "bad\ufffd",
		"cafe\u0301":                             "cafe\u0301", // combining acute
		"ñandú":                                  "ñandú",
		"菊 牡丹":                                   "菊 牡丹", // wide
		"חזיז":                                   "חזיז", // written right to left
		"Ä́":                                     "Ä́",
		"wave \U0001F44B\U0001F3FD!":             "wave \U0001F44B!", // skin tone
		"\U0001F1E9\U0001F1EA":                   "DE",               // flag
		"\u1112\u1161\u11ab\u1100\u1173\u11af":   "한글",               // Hangul in pieces
		"\u1112\u200d\u1161\u11ab, \uac00\u11a8": "한, 각",
		"\u1100\u1100\u1161\u11c3":               "\uFFFD가\uFFFD", // pieces that make no syllable
		"\u2630":                                 "\uFFFD",
	} {
		if got := Clean(in); got != want {
			t.Errorf("Clean(%q) = %q, want %q", in, got, want)
		}
	}
}

func TestQuote(t *testing.T) {
	for in, want := range map[string]string{
		"12":                     `"12"`,
		`12" shell`:              `"12\" shell"`,
		"\x1b]0;title\x07x":      `"]0;titlex"`,
		strings.Repeat("é", 60):  `"` + strings.Repeat("é", 60) + `"`,
		strings.Repeat("é", 61):  `"` + strings.Repeat("é", 60) + `…"`,
		strings.Repeat("x", 1e6): `"` + strings.Repeat("x", 60) + `…"`,
	} {
		if got := Quote(in); got != want {
			t.Errorf("Quote(%.70q) = %s, want %s", in, got, want)
		}
	}
}

// References: golang.org/x/text for the bidi classes, charmbracelet/x/ansi for
// what a terminal takes for a control sequence.
func FuzzClean(f *testing.F) {
	for _, s := range []string{"plain", "a\x1b[2Jb", "\u202e\u2067x", "e\u0301", "\xff\x80", "花火\u200b", "\u009d0;t\u009c", "\U0001F9D1\u200d\U0001F680", "\u1112\u1161\u11ab\u1100", "\U0001F44D\U0001F3FD"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		got := Clean(s)
		if !utf8.ValidString(got) {
			t.Errorf("Clean(%q) = %q, not UTF-8", s, got)
		}
		if Clean(got) != got {
			t.Errorf("Clean(Clean(%q)) = %q, not %q", s, Clean(got), got)
		}
		if stripped := ansi.Strip(got); stripped != got {
			t.Errorf("Clean(%q) = %q still holds a control sequence: %q is left", s, got, stripped)
		}
		for _, r := range got {
			p, _ := bidi.LookupRune(r)
			switch p.Class() {
			case bidi.B, bidi.S, bidi.BN, bidi.LRO, bidi.RLO, bidi.LRE, bidi.RLE, bidi.PDF, bidi.LRI, bidi.RLI, bidi.FSI, bidi.PDI:
				if !unicode.Is(unicode.Noncharacter_Code_Point, r) {
					t.Errorf("Clean(%q) = %q still holds U+%04X of bidi class %v", s, got, r, p.Class())
				}
			}
		}
	})
}
