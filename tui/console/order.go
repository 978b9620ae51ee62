package console

import (
	"slices"
	"strings"
	"unicode"
)

// orderIn returns what a message from the field orders, in the word that is called:
// CUT, HOLD or CLEAR, and empty where it orders nothing. A clause that begins with
// hold or cut is an order, and one that ends in clear is the word to go on, unless
// it says that something is not clear, or when. The gravest counts.
func orderIn(text string) string {
	order := ""
	for _, clause := range strings.FieldsFunc(strings.ToLower(text), func(r rune) bool { return strings.ContainsRune(".,:;!?", r) }) {
		words := strings.FieldsFunc(clause, func(r rune) bool { return !unicode.IsLetter(r) && r != '\'' })
		if len(words) == 0 {
			continue
		}
		switch first, last := words[0], words[len(words)-1]; {
		case first == "cut":
			return "CUT"
		case first == "hold":
			order = "HOLD"
		case last == "clear" && order == "" && !slices.ContainsFunc(words, unlessClear):
			order = "CLEAR"
		}
	}
	return order
}

// unlessClear reports whether a word keeps a clause that ends in clear from being
// the word to go on.
func unlessClear(w string) bool {
	return slices.Contains([]string{"not", "no", "never", "nothing", "until", "till", "when", "once", "if", "unless", "almost", "nearly"}, w) || strings.HasSuffix(w, "n't")
}
