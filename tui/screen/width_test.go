package screen

import (
	"strings"
	"testing"
	"unicode"

	"drylane/show"

	"github.com/charmbracelet/x/ansi"
	"pgregory.net/rapid"
)

// TestWidthAsInTmux: where the cursor stood in tmux 3.3a after each text, as that
// reported it (CSI 6 n).
func TestWidthAsInTmux(t *testing.T) {
	for text, want := range map[string]int{
		"a": 1, "漢": 2, "a\u0301": 1, "\u05d1\u05b0": 1, "\uff76\uff9e": 2, "\u3030": 2, "\u3297": 2, "\u2e3a": 1,
		"\u0e01\u0e47": 1, "\u1000\u102d\u102f": 1, "\u0ba4\u0bae\u0bbf\u0bb4\u0bcd": 4, "\u0915\u093e": 2, "a\u0903": 2,
		"\u0e01\u0e33": 2, "\u0ea5\u0eb3": 2, "\U0001f202": 2, "\U00010000": 1, "\ufffd": 1, "👍": 2, "각": 2,
	} {
		if text != show.Clean(text) {
			t.Errorf("%q does not reach a screen", text)
		}
		if got := Width(text); got != want {
			t.Errorf("%q: %d columns; wanted %d", text, got, want)
		}
	}
}

// TestNothingMovesTheColumns: whatever a file says, what stands behind it on a row
// keeps its column, on terminals that count character by character and on those that
// count what belongs together as one. Both are measured by the library that
// bubbletea cuts lines with. Signs that take room of their own within what belongs
// together (Mc and a few more) are left out: on those the two cannot but differ.
func TestNothingMovesTheColumns(t *testing.T) {
	pools := []*rapid.Generator[rune]{
		rapid.RuneFrom(nil, unicode.Hangul, unicode.Han, unicode.Hebrew, unicode.Latin, unicode.Thai),
		rapid.SampledFrom([]rune("👍👋🏻🏼🏽🏾🏿🇩🇪🇫❤\ufe0f\u200d\u20e3#1漢ｶ☰䷀〰㊗\u2e3a\u302e\u3030")),
		rapid.RuneFrom(nil, unicode.Mn, unicode.Me),
		rapid.Map(rapid.Int32Range(0x1100, 0x11FF), func(n int32) rune { return n }),
		rapid.Rune(),
	}
	rapid.Check(t, func(r *rapid.T) {
		text := show.Clean(string(rapid.SliceOfN(rapid.OneOf(pools...), 0, 12).Draw(r, "text")))
		if strings.ContainsFunc(text, func(r rune) bool {
			return unicode.Is(unicode.Mc, r) || strings.ContainsRune("\uff9e\uff9f\u0e33\u0eb3", r) || !assigned(r)
		}) {
			r.Skip()
		}
		var c Canvas
		c.W, c.H = 60, 1
		c.Begin(Look{})
		c.Text(0, 0, 30, text, Normal)
		c.Set(40, 0, '|', Normal)
		row := c.Render(PlainTheme())
		before, ok := strings.CutSuffix(row, "|")
		together, one := ansi.StringWidth(before), 0
		for _, c := range before {
			one += ansi.StringWidth(string(c))
		}
		if !ok || together != 40 || one != 40 {
			r.Fatalf("%q: what stands at column 40 is at %d, or %d counted one by one, in %q", text, together, one, row)
		}
	})
}

func assigned(r rune) bool {
	return unicode.IsGraphic(r) || unicode.Is(unicode.Mn, r) || unicode.Is(unicode.Me, r)
}

// TestWrapByColumns: lines of wide characters are no wider than asked for.
func TestWrapByColumns(t *testing.T) {
	for _, l := range Wrap("花火 花火 花火 花火 花火", 10) {
		if Width(l) > 10 {
			t.Errorf("%q is %d columns wide", l, Width(l))
		}
	}
}
