package ascii

import (
	"fmt"
	"slices"
	"strings"
)

// Names keeps the names of a show apart where they are written in ASCII. The zero
// Names knows none.
type Names struct {
	pairs [][2]string // names that need another spelling, and that
	other *strings.Replacer
}

// Keep takes names of one kind, which are shown in so many columns. Two that are not
// the same must not look the same: where the spelling alone does not do it, the place
// of the name in the list stands before it, as in "#2 Quai".
func (n *Names) Keep(room int, names []string) {
	names = distinct(names)
	seen := map[string]int{} // how many names look like that
	for _, name := range names {
		seen[cut(Text(name), room)]++
	}
	for i, name := range names {
		text := Text(name)
		if Is(name) || seen[cut(text, room)] == 1 {
			continue
		}
		text = fmt.Sprintf("#%d %s", i+1, text)
		for seen[cut(text, room)] > 0 {
			text = "#" + text
		}
		seen[cut(text, room)]++
		n.pairs = append(n.pairs, [2]string{name, text})
	}
	n.learn()
}

// learn makes the replacer: the longest name first, as one may begin another.
func (n *Names) learn() {
	slices.SortStableFunc(n.pairs, func(a, b [2]string) int { return len(b[0]) - len(a[0]) })
	var list []string
	for _, p := range n.pairs {
		list = append(list, p[0], p[1])
	}
	n.other = strings.NewReplacer(list...)
}

// Text is s in ASCII, with the names in it as they are kept apart.
func (n *Names) Text(s string) string {
	if Is(s) {
		return s
	}
	if len(n.pairs) > 0 {
		s = n.other.Replace(s)
	}
	return Text(s)
}

// distinct is each name once, in the order of their first places.
func distinct(names []string) (list []string) {
	seen := map[string]bool{}
	for _, name := range names {
		if !seen[name] {
			seen[name] = true
			list = append(list, name)
		}
	}
	return list
}

// cut is what is seen of an ASCII text in so many columns: the last one is that of the
// mark that it goes on.
func cut(s string, room int) string {
	if len(s) > room {
		return s[:room-1]
	}
	return s
}
