package show

import (
	"io/fs"
	"maps"
	"slices"
	"strings"
)

// maxCallWords bounds a file of phrases, in bytes.
const maxCallWords = 64 << 10

// readCallWords reads the phrases of a file, laid over base.
func readCallWords(fsys fs.FS, name string, base CallWords, f *finder) CallWords {
	text, ok := readText(fsys, name, maxCallWords, f)
	if !ok {
		return base
	}
	t := tableOf(text, f)
	if t == nil {
		return base
	}
	w := CallWords{Voice: base.Voice, say: map[string]string{}, spoken: base.spoken}
	maps.Copy(w.say, base.say)
	if voice := t.Text("voice"); voice != "" {
		w.Voice = voice
		if !voiceName(voice) {
			t.Note(CodeValue, "voice", Quote(voice), "the name of a voice, such as de or fr-fr")
		}
	}
	w.Pace = t.Number("pace", 0.5, 3, base.Pace)
	say := t.Sub("say")
	for _, key := range slices.Sorted(maps.Keys(putIn)) {
		if phrase := say.Text(key); phrase != "" {
			w.say[key] = phrase
			checkPhrase(say, key, phrase)
		} else if w.say[key] == "" {
			say.Note(CodeMissing, key, "no phrase", "one in [say]")
		}
	}
	say.Done()
	if pairs := t.Sub("spoken").pairs(func(t *Table, key string) string { return t.Verbatim(key) }); len(pairs) > 0 {
		w.spoken = replacer(pairs)
	}
	w.Recorded = t.Sub("recorded").pairs(func(t *Table, key string) string { return t.inside(key) })
	t.Done()
	return w
}

// voiceName reports whether a name can be given to a program without being
// taken for anything else.
func voiceName(s string) bool {
	return s[0] != '-' && !strings.ContainsFunc(s, func(r rune) bool {
		return r != '-' && r != '_' && (r < '0' || r > '9') && (r < 'a' || r > 'z') && (r < 'A' || r > 'Z')
	})
}

// checkPhrase notes what is not put into a phrase, or cannot be.
func checkPhrase(t *Table, key, phrase string) {
	rest := phrase
	for _, part := range putIn[key] {
		if !strings.Contains(rest, "{"+part+"}") {
			t.Note(CodeValue, key, Quote(phrase)+" without {"+part+"}", "it where that is said")
			return
		}
		rest = strings.Replace(rest, "{"+part+"}", "", 1)
	}
	if strings.ContainsAny(rest, "{}\"") {
		wanted := "none of them in it"
		if parts := putIn[key]; len(parts) > 0 {
			wanted = "once each of {" + strings.Join(parts, "}, {") + "}"
		}
		t.Note(CodeValue, key, Quote(phrase)+" with braces or quotes that are nothing here", wanted)
	}
}

// pairs reads a table whose keys are the file's own.
func (t *Table) pairs(read func(t *Table, key string) string) map[string]string {
	list := map[string]string{}
	for _, key := range slices.Sorted(maps.Keys(t.values)) {
		if v := read(t, key); v != "" {
			list[key] = v
		}
	}
	t.Done()
	return list
}

// replacer replaces the longest of several that fit.
func replacer(pairs map[string]string) *strings.Replacer {
	keys := slices.SortedFunc(maps.Keys(pairs), func(a, b string) int {
		if len(a) != len(b) {
			return len(b) - len(a)
		}
		return strings.Compare(a, b)
	})
	var list []string
	for _, k := range keys {
		list = append(list, k, pairs[k])
	}
	return strings.NewReplacer(list...)
}
