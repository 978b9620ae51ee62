package show

import (
	"slices"
	"strings"
	"unicode"

	"drylane/show/ascii"

	"golang.org/x/text/unicode/norm"
)

// A Family groups effects that look and sound alike.
type Family uint8

// The effect families, in the order lanes show them.
const (
	FamilyOther Family = iota
	FamilyShell
	FamilySalute
	FamilyComet
	FamilyMine
	FamilyCandle
	FamilyCake
	FamilyFountain
	FamilyFlame
	FamilyCount // how many there are
)

var familyNames = [FamilyCount]string{"other", "shell", "salute", "comet", "mine", "candle", "cake", "fountain", "flame"}

// String returns the family's trade name in the singular.
func (f Family) String() string {
	if f >= FamilyCount {
		return "other"
	}
	return familyNames[f]
}

// FamilyOf reads the family from an effect's description, in English, German,
// French, Spanish, Italian, Dutch, Portuguese or Polish. A word for the device
// decides; of several, the last, as the noun comes last ("willow mine" is a
// mine), or the first in a language that puts it there. Without one a word for
// how it looks decides, one of shells before any other. What comes after "with"
// counts only when nothing before it says anything.
func FamilyOf(effect string) Family {
	t, _ := readEffect(effect)
	return t.family
}

// NamesDevice reports whether an effect's description says what kind of thing it
// is, and not only how it looks.
func NamesDevice(effect string) bool {
	t, _ := readEffect(effect)
	return t.device
}

// readEffect returns what a description says; ok is false when it says nothing.
func readEffect(effect string) (t term, ok bool) {
	words := strings.FieldsFunc(plainLetters(strings.ToLower(effect)), func(r rune) bool { return !unicode.IsLetter(r) })
	if i := slices.IndexFunc(words, func(w string) bool { return joining[w] }); i >= 0 {
		if t, ok = decide(words[:i]); ok {
			return t, true
		}
	}
	return decide(words)
}

// decide weighs the terms in words.
func decide(words []string) (decided term, ok bool) {
	for i := range words {
		t, known := termAt(words, i)
		switch {
		case !known:
		case !ok, t.device && !decided.device:
			decided, ok = t, true
		case t.device != decided.device, decided.device && decided.first:
		case !t.device && decided.family == FamilyShell:
		default:
			decided = t
		}
	}
	return decided, ok
}

// termAt returns the term that ends with word i.
func termAt(words []string, i int) (term, bool) {
	w := words[i]
	for _, phrase := range phrases[w] {
		if n := strings.Count(phrase, " "); n <= i && strings.Join(words[i-n:i+1], " ") == phrase {
			return terms[phrase], true
		}
	}
	if t, ok := terms[w]; ok {
		return t, true
	}
	if t, ok := terms[strings.TrimSuffix(w, "s")]; ok {
		return t, true
	}
	for _, end := range ends {
		if len(w) > len(end)+2 && strings.HasSuffix(w, end) {
			return terms[end], true
		}
	}
	return term{}, false
}

// plainLetters takes the accents off letters.
func plainLetters(s string) string {
	if ascii.Is(s) {
		return s
	}
	var b strings.Builder
	for _, r := range norm.NFD.String(s) {
		switch {
		case unicode.Is(unicode.Mn, r):
		case r == 'ł':
			b.WriteByte('l')
		case r == 'ß':
			b.WriteString("ss")
		default:
			b.WriteRune(r)
		}
	}
	return b.String()
}
