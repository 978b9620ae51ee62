package crew

import (
	"errors"
	"fmt"
	"slices"
	"strings"
	"unicode/utf8"

	"drylane/show"
)

// reserved are the names that nobody can join under: they are said of somebody else.
var reserved = []string{string(Shooter), "lead", "drylane", "everybody", "nobody", "script", "engine"}

// CleanName is a member's name as it is shown; the error says why it is none.
func CleanName(s string) (string, error) {
	s = strings.Join(strings.Fields(show.Clean(s)), " ")
	switch {
	case s == "":
		return "", errors.New("found no name; wanted one, such as --as Ada")
	case utf8.RuneCountInString(s) > MaxName:
		return "", fmt.Errorf("found a name of %d characters; wanted %d at most", utf8.RuneCountInString(s), MaxName)
	case slices.ContainsFunc(reserved, func(r string) bool { return strings.EqualFold(r, s) }):
		return "", fmt.Errorf("found the name %q, which stands for somebody else; wanted another", s)
	}
	return s, nil
}

// MaxWords is how many characters of a remark or a reason are kept.
const MaxWords = 120

// CleanWords is what somebody wrote as it is shown.
func CleanWords(s string) string {
	return show.Shorten(strings.Join(strings.Fields(show.Shorten(s, 4*MaxWords)), " "), MaxWords)
}
