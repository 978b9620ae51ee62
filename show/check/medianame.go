package check

import (
	"cmp"
	"path"
	"slices"
	"strings"
	"unicode"

	"golang.org/x/text/unicode/norm"
)

// An Entry is a file on a medium, such as a memory stick.
type Entry struct {
	Path string // from the medium's top, with / between folders
	Size int64
}

// A Candidate is an Entry that may be a file that the show needs.
type Candidate struct {
	Entry
	// Why says how its name differs; empty when it does not.
	Why string
}

// A Pick is what a medium has for one file, by name alone.
type Pick struct {
	// Best is the file that a player told to play it would most likely play;
	// nil when no name is near.
	Best *Candidate
	// Others are further files that may be taken for it: copies, the same
	// name in another folder, hidden ones.
	Others []Candidate
}

// The ways in which a name differs, from the least.
const (
	whyAccent = "its accents are written in another way"
	whyCase   = "its name differs in capitals"
	whySpace  = "its name has spaces too many or too few"
	whyFolder = "it lies in another folder"
	whyFormat = "its name has another ending"
	whyCopy   = "it is named like a copy"
	whyHidden = "it is hidden"

	// WhyElsewhere is for a file that was known by its content alone.
	WhyElsewhere = "it has another name altogether"
)

// whys orders them.
var whys = []string{"", whyAccent, whyCase, whySpace, whyFolder, whyFormat, whyCopy, whyHidden}

// Match finds by name what a medium has for the file that the show folder
// keeps at want.
func Match(want string, list []Entry) Pick {
	var all []Candidate
	for _, e := range list {
		if why, ok := nameDiffers(want, e.Path); ok {
			all = append(all, Candidate{e, why})
		}
	}
	slices.SortStableFunc(all, func(a, b Candidate) int {
		return cmp.Or(
			cmp.Compare(slices.Index(whys, a.Why), slices.Index(whys, b.Why)),
			cmp.Compare(strings.Count(a.Path, "/"), strings.Count(b.Path, "/")),
			cmp.Compare(a.Path, b.Path))
	})
	if len(all) == 0 || all[0].Why == whyHidden {
		return Pick{Others: all}
	}
	return Pick{Best: &all[0], Others: all[1:]}
}

// nameDiffers says how the path of a file on a medium differs from want; false
// when it is another name altogether. A file of the right name at the top of
// the medium is as good as one in the folder it has in the show.
func nameDiffers(want, got string) (why string, near bool) {
	base, have := path.Base(want), path.Base(got)
	switch {
	case got == want || got == base:
		return "", true
	case have == base && strings.HasPrefix(got, ".") || have == base && strings.Contains(got, "/."):
		return whyHidden, true
	case have == base:
		return whyFolder, true
	}
	base, have = norm.NFC.String(base), norm.NFC.String(have)
	if have == base {
		return whyAccent, true
	}
	if hidden := strings.TrimLeft(have, "._"); strings.HasPrefix(have, ".") && strings.EqualFold(hidden, strings.TrimLeft(base, "._")) {
		return whyHidden, true
	}
	if strings.EqualFold(have, base) {
		return whyCase, true
	}
	stem, ending := split(base)
	haveStem, haveEnding := split(have)
	sameEnding := ending == haveEnding
	if !sameEnding && !soundEndings[haveEnding] {
		return "", false
	}
	switch {
	case closed(haveStem) == closed(stem) && sameEnding:
		return whySpace, true
	case closed(haveStem) == closed(stem):
		return whyFormat, true
	case closed(original(haveStem)) == closed(original(stem)):
		return whyCopy, true
	}
	return "", false
}

// soundEndings are those of the files that a player may play.
var soundEndings = map[string]bool{
	".mp3": true, ".wav": true, ".flac": true, ".ogg": true, ".oga": true,
	".m4a": true, ".aac": true, ".wma": true, ".aif": true, ".aiff": true, ".opus": true,
}

// split parts a name from its ending, both in small letters.
func split(name string) (stem, ending string) {
	name = strings.ToLower(strings.TrimSpace(name))
	ending = path.Ext(name)
	return strings.TrimSuffix(name, ending), ending
}

// closed leaves all spaces out.
func closed(s string) string {
	return strings.Map(func(r rune) rune {
		if unicode.IsSpace(r) || r == '_' {
			return -1
		}
		return r
	}, s)
}

// original takes from a stem what file managers add to the name of a copy:
// "track (1)", "track - copy", "copy of track", "track copy 2", "track~1".
func original(stem string) string {
	for {
		before := stem
		stem = strings.TrimSpace(stem)
		stem = strings.TrimPrefix(stem, "copy of ")
		bare := strings.TrimRight(stem, "0123456789")
		switch {
		case strings.HasSuffix(stem, ")"):
			if i := strings.LastIndexByte(stem, '('); i > 0 && strings.Trim(stem[i+1:len(stem)-1], "0123456789") == "" {
				stem = stem[:i]
			}
		case strings.HasSuffix(bare, "~") && bare != stem:
			stem = strings.TrimSuffix(bare, "~")
		default:
			if cut, ok := strings.CutSuffix(strings.TrimSpace(bare), "copy"); ok && cut != "" {
				stem = strings.TrimRight(cut, " -_")
			}
		}
		if stem == before {
			return stem
		}
	}
}
