package show

import (
	"fmt"
	"math"
	"strings"
	"time"
)

// Lines reads a text of several lines. Each is cleaned and keeps no space at
// its end; empty lines at the start and the end are left out.
func (t *Table) Lines(key string) string {
	v := t.Value(key)
	if v == nil {
		return ""
	}
	s, ok := v.(string)
	if !ok {
		t.Note(CodeType, key, describeTOML(v), `text in quotes, or between """ and """ when it has several lines`)
		return ""
	}
	t.tidied(key, s)
	lines := strings.Split(strings.ReplaceAll(s, "\r\n", "\n"), "\n")
	for i, line := range lines {
		lines[i] = strings.TrimRight(Clean(line), " ")
	}
	return strings.Trim(strings.Join(lines, "\n"), "\n")
}

// several returns the values of key: one, or those of a list. is tells whether a
// value is of the kind that what names.
func (t *Table) several(key, what string, is func(any) bool) []any {
	v := t.Value(key)
	if v == nil {
		return nil
	}
	list, ok := v.([]any)
	if !ok {
		list = []any{v}
	}
	if len(list) == 0 {
		t.Note(CodeMissing, key, "an empty list", what)
	}
	for _, v := range list {
		if !is(v) {
			t.Note(CodeType, key, describeTOML(v), what)
			return nil
		}
	}
	return list
}

// Clocks reads a text such as "0:40.000", or a list of them, as ParseTime does.
// It is nil when any of them is wrong.
func (t *Table) Clocks(key string) []time.Duration {
	var times []time.Duration
	is := func(v any) bool { _, ok := v.(string); return ok }
	for _, v := range t.several(key, `a time in quotes, such as "0:40", or a list of them`, is) {
		d, err := parseTime(strings.TrimSpace(v.(string)))
		if err != nil {
			t.Note(CodeTime, key, Quote(v.(string)), strings.TrimPrefix(err.Error(), "wanted "))
			return nil
		}
		times = append(times, d)
	}
	return times
}

// Seconds reads a number of seconds from -limit to limit with up to three
// decimals, or a list of them. It is nil when any of them is wrong.
func (t *Table) Seconds(key string, limit time.Duration) []time.Duration {
	var times []time.Duration
	is := func(v any) bool { _, ok := v.(float64); _, whole := v.(int64); return ok || whole }
	for _, v := range t.several(key, "a number of seconds, such as 0.3, or a list of them", is) {
		x, ok := v.(float64)
		if !ok {
			x = float64(v.(int64))
		}
		if !(math.Abs(x) <= limit.Seconds()) {
			t.Note(CodeRange, key, describeTOML(v), fmt.Sprintf("%g to %g seconds", -limit.Seconds(), limit.Seconds()))
			return nil
		}
		ms := math.Round(x * 1000)
		if math.Abs(x*1000-ms) > 1e-6 {
			t.Note(CodeRange, key, describeTOML(v), "at most three decimals")
			return nil
		}
		times = append(times, time.Duration(ms)*time.Millisecond)
	}
	return times
}
