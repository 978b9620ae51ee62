package exchange

import (
	"slices"
	"strings"
	"unicode/utf8"
)

// How quotes are read.
const (
	QuotesDouble = "double" // as in CSV: a field may stand in "...", quotes in it doubled
	QuotesNone   = "none"   // quotes are letters like any other
)

// delimiters are tried in this order: the first of those that fit equally well
// wins. A tab or semicolon in every row is no accident, while a comma may be a
// decimal comma.
var delimiters = []rune{'\t', ';', ','}

// How much of a file is looked at to find out how it is built.
const (
	sampleLines = 200
	sampleBytes = 256 << 10
)

// sniffDelimiter finds the character that cuts most rows of the sample into
// the same number of fields, two at least. A list with one column has none;
// the comma then does no harm.
func sniffDelimiter(text string) rune {
	text = sample(text)
	best, bestScore := ',', 0
	for _, d := range delimiters {
		if score := evenness(text, d); score > bestScore {
			best, bestScore = d, score
		}
	}
	return best
}

// evenness is how many of twenty rows have the commonest width, 0 when that is
// a single field.
func evenness(text string, delimiter rune) int {
	rows, _, err := split("", text, delimiter, sniffQuotes(text, delimiter))
	if err != nil {
		rows = splitPlain(text, delimiter)
	}
	widths := map[int]int{}
	for _, r := range rows {
		widths[len(r.Fields)]++
	}
	delete(widths, 1)
	most := 0
	for _, n := range widths {
		most = max(most, n)
	}
	if len(rows) == 0 || most == 0 {
		return 0
	}
	return max(1, 20*most/len(rows))
}

// sample is the first lines of text, and not all of them where they are long.
func sample(text string) string {
	text = text[:min(len(text), sampleBytes)]
	at := 0
	for range sampleLines {
		i := strings.IndexByte(text[at:], '\n')
		if i < 0 {
			return text
		}
		at += i + 1
	}
	return text[:at]
}

// sniffQuotes takes quotes for letters when none of them stands at the
// beginning of a field, as in 3" shell.
func sniffQuotes(text string, delimiter rune) string {
	for at := 0; ; {
		i := strings.IndexByte(text[at:], '"')
		if i < 0 {
			break
		}
		at += i
		head := strings.TrimRight(text[:at], " ")
		before, _ := utf8.DecodeLastRuneInString(head)
		if head == "" || before == '\n' || before == delimiter {
			return QuotesDouble
		}
		at++
	}
	if strings.Contains(text, `"`) {
		return QuotesNone
	}
	return QuotesDouble
}

// sniffHeader returns the index of the row that names the columns, -1 for
// none: the first in which all of the wanted names stand; else the one with
// most of our own column names, if more than one; else the first row that is
// at least half filled, if it holds no number and a later one does.
func sniffHeader(rows []Row, wanted []string) int {
	head := rows[:min(len(rows), 50)]
	best, most := -1, 0
	for i, r := range head {
		names := folded(r.Fields)
		if len(wanted) > 0 && !slices.ContainsFunc(wanted, func(n string) bool { return !slices.Contains(names, fold(clean(n))) }) {
			return i
		}
		n := 0
		for _, c := range Columns {
			if slices.Contains(names, c) {
				n++
			}
		}
		if n > max(most, 1) {
			best, most = i, n
		}
	}
	if best >= 0 || len(head) == 0 {
		return best
	}
	width := commonWidth(head)
	first := slices.IndexFunc(head, func(r Row) bool { return 2*filled(r.Fields) >= width })
	if first < 0 || hasNumber(head[first]) || !slices.ContainsFunc(head[first:], hasNumber) {
		return -1
	}
	return first
}

// filled counts the fields with something in them.
func filled(fields []string) (n int) {
	for _, f := range fields {
		if strings.TrimSpace(f) != "" {
			n++
		}
	}
	return n
}

func folded(fields []string) []string {
	out := make([]string, len(fields))
	for i, f := range fields {
		out[i] = fold(clean(f))
	}
	return out
}

// hasNumber reports whether a field of the row is a number or a time.
func hasNumber(r Row) bool {
	return slices.ContainsFunc(r.Fields, func(f string) bool {
		f = strings.TrimSpace(f)
		return strings.Trim(f, "0123456789.,:;") == "" && strings.ContainsAny(f, "0123456789")
	})
}
