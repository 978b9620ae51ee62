package show

import (
	"errors"
	"fmt"
	"strings"
	"testing"
	"time"
)

// TestReadTOML reads a file that is not show.toml: its own name is in the
// messages, and lists read as one value does.
func TestReadTOML(t *testing.T) {
	table, err := ReadTOML("x.toml", strings.NewReader("\ufeffa = \"\"\"\n  one \t\r\n\n two\n\n\"\"\"\nb = [\"0:40\", \"50.5\"]\nc = [-0.3, 1]\n[[d]]\ne = 0.25\n[[d]]\ne = [0.5, true]\nf = \"1:99\"\ng = []\nh = 0.12345\n"), 1000)
	if err != nil {
		t.Fatal(err)
	}
	if got := table.Lines("a"); got != "  one\n\n two" {
		t.Errorf("lines %q", got)
	}
	if got := table.Clocks("b"); fmt.Sprint(got) != "[40s 50.5s]" {
		t.Errorf("clocks %v", got)
	}
	if got := table.Seconds("c", time.Second); fmt.Sprint(got) != "[-300ms 1s]" {
		t.Errorf("seconds %v", got)
	}
	list := table.List("d")
	if got := list[0].Seconds("e", time.Second); fmt.Sprint(got) != "[250ms]" || list[0].Line() != 9 || list[1].Line() != 11 {
		t.Errorf("seconds %v, lines %d and %d", got, list[0].Line(), list[1].Line())
	}
	bad := list[1]
	if e, f, g, h := bad.Seconds("e", time.Second), bad.Clocks("f"), bad.Clocks("g"), bad.Seconds("h", time.Second); e != nil || f != nil || g != nil || h != nil {
		t.Errorf("got %v %v %v %v", e, f, g, h)
	}
	bad.Done()
	table.Done()
	wantProblems(t, table.Problems(),
		"type x.toml:12:1: found true as e", `time x.toml:13:1: found "1:99" as f`, "missing x.toml:14:1: found an empty list as g",
		"range x.toml:15:1: found the number 0.12345 as h; wanted at most three decimals")
}

func TestReadTOMLRefuses(t *testing.T) {
	for text, want := range map[string]string{
		"":                       "file x.toml: found nothing: the file is empty",
		"a = \n":                 "syntax x.toml:1:",
		"a = \"\x01\"\n":         "text x.toml:1:6: found the control character U+0001",
		strings.Repeat("a", 200): "file x.toml:1: found a file that is too large",
	} {
		table, err := ReadTOML("x.toml", strings.NewReader(text), 100)
		var problems Problems
		if table != nil || !errors.As(err, &problems) {
			t.Errorf("%q: got %v, %v", text, table, err)
			continue
		}
		wantProblems(t, problems, want)
	}
}
