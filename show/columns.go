package show

import (
	"strings"

	"golang.org/x/text/unicode/norm"
)

// Terminals disagree on how many columns some characters take: those that count
// character by character and those that count what belongs together do not agree
// on skin tones, flags and Hangul in pieces, and the symbols below were made wide
// in 2024. What a file says must not move what stands beside it, so none of them
// reaches a screen as it is.

// settle returns what stands in for r on every terminal: r itself, or another
// character, or -1 for none.
func settle(r rune) rune {
	switch {
	case r >= 0x1F3FB && r <= 0x1F3FF: // skin tones: the emoji stays
		return -1
	case r >= 0x1F1E6 && r <= 0x1F1FF: // flags are pairs of letters
		return 'A' + r - 0x1F1E6
	case r >= 0x2630 && r <= 0x2637, r >= 0x268A && r <= 0x268F, // trigrams
		r >= 0x4DC0 && r <= 0x4DFF, r >= 0x1D300 && r <= 0x1D376, // hexagrams, counting rods
		r == 0x302E, r == 0x302F, r == 0x16FF0, r == 0x16FF1: // wide marks
		return '\uFFFD'
	}
	return r
}

// joinHangul puts Hangul that is written in pieces together, as it looks. Pieces
// that make no syllable become U+FFFD.
func joinHangul(s string) string {
	if !strings.ContainsFunc(s, isJamo) {
		return s
	}
	var b strings.Builder
	for s != "" {
		n := strings.IndexFunc(s, func(r rune) bool { return !isJamo(r) && !isSyllable(r) })
		if n < 0 {
			n = len(s)
		}
		b.WriteString(strings.Map(func(r rune) rune {
			if isJamo(r) {
				return '\uFFFD'
			}
			return r
		}, norm.NFC.String(s[:n])))
		s = s[n:]
		n = strings.IndexFunc(s, func(r rune) bool { return isJamo(r) || isSyllable(r) })
		if n < 0 {
			n = len(s)
		}
		b.WriteString(s[:n])
		s = s[n:]
	}
	return b.String()
}

// isJamo reports whether r is a piece of a Hangul syllable.
func isJamo(r rune) bool {
	return r >= 0x1100 && r <= 0x11FF || r >= 0xA960 && r <= 0xA97C || r >= 0xD7B0 && r <= 0xD7FB
}

func isSyllable(r rune) bool { return r >= 0xAC00 && r <= 0xD7A3 }
