// Package ascii writes texts in ASCII characters, for terminals that have no others:
// letters as they are spelled where they are missing, everything else as a code, and
// never two names of a show alike.
package ascii

import (
	"fmt"
	"strings"
	"unicode"

	"golang.org/x/text/unicode/norm"
)

// Is reports whether s needs no other characters.
func Is(s string) bool {
	for i := range len(s) {
		if s[i] >= 0x80 {
			return false
		}
	}
	return true
}

// Text is s in ASCII. Latin letters lose their accents or become two, as in "Muehle";
// Greek and Cyrillic letters become Latin ones; marks of punctuation become the
// nearest. What has no spelling becomes its number in Unicode: "{6F22}".
func Text(s string) string {
	if Is(s) {
		return s
	}
	runes := []rune(norm.NFC.String(s))
	var b strings.Builder
	for i, r := range runes {
		if r < 0x80 {
			b.WriteRune(r)
			continue
		}
		b.WriteString(inCase(spell(r), runes, i))
	}
	return b.String()
}

// spell is one character in ASCII. A capital that becomes two letters has only the
// first of them large.
func spell(r rune) string {
	if s, ok := spelling[r]; ok {
		return s
	}
	if low := unicode.ToLower(r); low != r {
		if s, ok := spelling[low]; ok {
			return capital(s)
		}
	}
	var b strings.Builder
	for _, part := range norm.NFKD.String(string(r)) {
		s, ok := spelling[part]
		switch {
		case part < 0x80:
			b.WriteRune(part)
		case ok:
			b.WriteString(s)
		case part != r && unicode.ToLower(part) != part:
			b.WriteString(spell(part))
		case unicode.Is(unicode.Mn, part):
		default:
			return code(r)
		}
	}
	if b.Len() == 0 { // a mark by itself
		return code(r)
	}
	return b.String()
}

// code is the number of a character in Unicode.
func code(r rune) string { return fmt.Sprintf("{%04X}", r) }

func capital(s string) string {
	if s == "" {
		return s
	}
	return strings.ToUpper(s[:1]) + s[1:]
}

// inCase writes what stands for character i of a text all in capitals where the text
// beside it is: UEBUNG, but Uebung.
func inCase(s string, text []rune, i int) string {
	if len(s) < 2 || s[0] == '{' || !unicode.IsUpper(text[i]) {
		return s
	}
	next, before := rune(0), rune(0)
	if i+1 < len(text) {
		next = text[i+1]
	}
	if i > 0 {
		before = text[i-1]
	}
	if unicode.IsUpper(next) || !unicode.IsLetter(next) && unicode.IsUpper(before) {
		return strings.ToUpper(s)
	}
	return s
}
