package show

import (
	"fmt"
	"io/fs"
	"math"
	"slices"
	"strings"
	"time"
)

// Text reads a string, cleaned.
func (t *Table) Text(key string) string {
	v := t.Value(key)
	if v == nil {
		return ""
	}
	s, ok := v.(string)
	if !ok {
		t.Note(CodeType, key, describeTOML(v), `text in quotes, such as "1"`)
		return ""
	}
	return t.tidied(key, s)
}

// Verbatim reads a string as it stands, blanks and all.
func (t *Table) Verbatim(key string) string {
	v := t.Value(key)
	s, ok := v.(string)
	if v != nil && !ok {
		t.Note(CodeType, key, describeTOML(v), `text in quotes, such as "1"`)
	}
	return s
}

// Scalar reads a string or a number, which may stand without quotes, as text.
func (t *Table) Scalar(key string) string {
	switch v := t.values[key].(type) {
	case int64, float64:
		t.known = append(t.known, key)
		return fmt.Sprint(v)
	}
	return t.Verbatim(key)
}

func (t *Table) tidied(key, raw string) string {
	s, control, hidden := tidy(raw)
	switch {
	case control || hidden:
		t.Note(CodeText, key, Quote(raw)+" with control or invisible characters", "visible characters only")
	case s == "":
		t.Note(CodeMissing, key, "an empty text", "a text, or no such line")
	}
	return s
}

// Texts reads an array of strings.
func (t *Table) Texts(key string) []string {
	v := t.Value(key)
	if v == nil {
		return nil
	}
	list, ok := v.([]any)
	if !ok {
		t.Note(CodeType, key, describeTOML(v), `a list such as ["first", "second"]`)
		return nil
	}
	var texts []string
	for _, v := range list {
		s, ok := v.(string)
		if !ok {
			t.Note(CodeType, key, describeTOML(v)+" in the list", "text in quotes")
			continue
		}
		texts = append(texts, t.tidied(key, s))
	}
	return texts
}

// Flag reads true or false.
func (t *Table) Flag(key string) bool {
	v := t.Value(key)
	b, ok := v.(bool)
	if v != nil && !ok {
		t.Note(CodeType, key, describeTOML(v), "true or false")
	}
	return b
}

// Whole reads an integer in lo..hi.
func (t *Table) Whole(key string, lo, hi int64) int {
	v := t.Value(key)
	if v == nil {
		return 0
	}
	n, ok := v.(int64)
	if !ok {
		t.Note(CodeType, key, describeTOML(v), fmt.Sprintf("a whole number from %d to %d", lo, hi))
		return 0
	}
	if n < lo || n > hi {
		t.Note(CodeRange, key, describeTOML(v), fmt.Sprintf("%d to %d", lo, hi))
		return 0
	}
	return int(n)
}

// Number reads an integer or a float in lo..hi; def is its default.
func (t *Table) Number(key string, lo, hi, def float64) float64 {
	v := t.Value(key)
	if v == nil {
		return def
	}
	var x float64
	switch v := v.(type) {
	case int64:
		x = float64(v)
	case float64:
		x = v
	default:
		t.Note(CodeType, key, describeTOML(v), fmt.Sprintf("a number from %g to %g", lo, hi))
		return def
	}
	if !(lo <= x && x <= hi) || math.IsNaN(x) {
		t.Note(CodeRange, key, describeTOML(v), fmt.Sprintf("%g to %g", lo, hi))
		return def
	}
	return x
}

// duration reads a text such as "150ms" or "2.5s" in lo..hi that is a multiple
// of step; def is its default.
func (t *Table) duration(key string, lo, hi, step, def time.Duration) time.Duration {
	v := t.Value(key)
	if v == nil {
		return def
	}
	s, ok := v.(string)
	if !ok {
		t.Note(CodeType, key, describeTOML(v), fmt.Sprintf("a duration with its unit in quotes, such as %q", def))
		return def
	}
	d, err := time.ParseDuration(s)
	switch {
	case err != nil:
		t.Note(CodeType, key, Quote(s), fmt.Sprintf("a duration with its unit, such as %q", def))
	case d < lo || d > hi:
		t.Note(CodeRange, key, Quote(s), fmt.Sprintf("%s to %s", lo, hi))
	case d%step != 0:
		t.Note(CodeRange, key, Quote(s), fmt.Sprintf("a whole number of steps of %s", step))
	default:
		return d
	}
	return def
}

// Clock reads a text such as "5.000" as ParseTime does.
func (t *Table) Clock(key string) time.Duration {
	v := t.Value(key)
	if v == nil {
		return 0
	}
	s, ok := v.(string)
	if !ok {
		t.Note(CodeType, key, describeTOML(v), `a time in quotes, such as "5.000"`)
		return 0
	}
	d, err := parseTime(strings.TrimSpace(s))
	if err != nil {
		t.Note(CodeTime, key, Quote(s), strings.TrimPrefix(err.Error(), "wanted "))
	}
	return d
}

// Choice reads one of the allowed texts, the first of which is the default.
func (t *Table) Choice(key string, allowed ...string) string {
	s := t.Text(key)
	if s == "" {
		return allowed[0]
	}
	if !slices.Contains(allowed, s) {
		t.Note(CodeValue, key, Quote(s), "one of "+strings.Join(allowed, ", ")+DidYouMean(s, allowed))
		return allowed[0]
	}
	return s
}

// inside reads a path inside the show folder.
func (t *Table) inside(key string) string {
	v, _ := t.values[key].(string)
	s := t.Text(key)
	if s == "" {
		return ""
	}
	if wanted := pathWanted(v); wanted != "" {
		t.Note(CodePath, key, Quote(v), wanted)
		return ""
	}
	return v
}

// pathWanted says what is wanted of a path that may lead out of the show
// folder or that another system would read differently; "" when it is good.
func pathWanted(path string) string {
	switch {
	case strings.Contains(path, `\`):
		return "a path with / between folders"
	case len(path) > 1 && path[1] == ':', path == ".", !fs.ValidPath(path):
		return "a path inside the show folder, such as music/soundtrack.wav"
	}
	return ""
}

// describeTOML names a TOML value in a message.
func describeTOML(v any) string {
	switch v := v.(type) {
	case string:
		return Quote(v)
	case int64:
		return fmt.Sprintf("the number %d", v)
	case float64:
		return fmt.Sprintf("the number %g", v)
	case bool:
		return fmt.Sprint(v)
	case []any:
		return "a list"
	case map[string]any:
		return "a table"
	}
	return "a date or a time of day"
}
