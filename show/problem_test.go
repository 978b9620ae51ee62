package show

import (
	"errors"
	"io/fs"
	"testing"
)

func TestProblemError(t *testing.T) {
	for _, c := range []struct {
		p    Problem
		want string
	}{
		{Problem{File: "cues.csv", Line: 14, Column: 22, Found: `"1:7x.3" as effect_at`, Wanted: "seconds"}, `cues.csv:14:22: found "1:7x.3" as effect_at; wanted seconds`},
		{Problem{File: "cues.csv", Line: 14, Found: "x"}, "cues.csv:14: found x"},
		{Problem{File: "a\x1b[2Jb", Found: "x\n\u202ey"}, "a[2Jb: found x y"},
		{Problem{Found: "x", Wanted: "y"}, "found x; wanted y"},
	} {
		if got := c.p.Error(); got != c.want {
			t.Errorf("got %q, want %q", got, c.want)
		}
	}
}

func TestProblemsAreErrors(t *testing.T) {
	var err error = Problems{{Code: CodeTime, Found: "a"}, {Code: CodeFile, Found: "b", Err: fs.ErrNotExist}}
	if err.Error() != "found a\nfound b" {
		t.Errorf("got %q, want one line each", err)
	}
	if !errors.Is(err, fs.ErrNotExist) || errors.Is(err, fs.ErrPermission) {
		t.Error("errors.Is does not look into the problems")
	}
	var p Problem
	if !errors.As(err, &p) || p.Code != CodeTime {
		t.Errorf("errors.As finds %+v", p)
	}
}

func TestWarningsDoNotHideAStop(t *testing.T) {
	var f finder
	for range 3 * maxProblems {
		f.add(Problem{Severity: SeverityWarn, File: "a"})
	}
	f.add(Problem{Severity: SeverityStop, File: "b"})
	ps := f.problems()
	if !ps.Stop() || len(ps) != maxProblems+2 || ps[len(ps)-1].Code != CodeMore {
		t.Errorf("%d problems, stop %v; want %d with the stop and, last, a line for the rest", len(ps), ps.Stop(), maxProblems+2)
	}
}

func TestNearest(t *testing.T) {
	for word, want := range map[string]string{
		"effect_at":   "effect_at",
		"Effect At":   "effect_at",
		"efect-at":    "effect_at",
		"gurad":       "",
		"calibre_mm":  "caliber_mm",
		"caliber":     "caliber_mm",
		"pins":        "pin",
		"nmodule":     "module",
		"positoin":    "position",
		"cues":        "cue",
		"zzz":         "",
		"":            "",
		"\x1b[31mpin": "",
	} {
		if got := nearest(word, columns[:]); got != want {
			t.Errorf("nearest(%q) = %q, want %q", word, got, want)
		}
	}
	// More letters than one of a short word are not a slip.
	if got := nearest("at", []string{"go"}); got != "" {
		t.Errorf("nearest(at) = %q", got)
	}
	if d := editDistance("xxat", "at", 10); d != 2 {
		t.Errorf("xxat to at: %d, want 2, both left out", d)
	}
	// kitten to sitting takes three changes (the textbook example, from memory).
	if d := editDistance("kitten", "sitting", 10); d != 3 {
		t.Errorf("kitten to sitting: %d, want 3", d)
	}
	if d := editDistance("gurad", "guard", 10); d != 1 {
		t.Errorf("gurad to guard: %d, want 1, a swap", d)
	}
}
