package main

import (
	"bytes"
	"os"
	"reflect"
	"strings"
	"testing"
	"time"

	"github.com/alecthomas/kong"
)

// parse reads a command line into the program's own, and returns what is said of a
// wrong one.
func parse(t *testing.T, args ...string) (*cli, string) {
	t.Helper()
	var c cli
	parser, err := kong.New(&c, kong.Name("drylane"), values())
	if err != nil {
		t.Fatal(err)
	}
	var said bytes.Buffer
	if _, err := parser.Parse(args); err != nil {
		sayUsage(&said, err)
	}
	return &c, said.String()
}

// TestUsage: whatever is wrong with a command line is said as every error is, and
// the help that is named is that of the command.
func TestUsage(t *testing.T) {
	t.Parallel()
	tests := []struct{ line, said, help string }{
		{"drill run wind --seed x", `--seed: found "x"; wanted a whole number of 0 or more, such as 7`, "drylane drill run"},
		{"drill run wind --seed -1", `--seed: found "-1"; wanted a whole number of 0 or more, such as 7`, "drylane drill run"},
		{"drill run any --among 1.5", `--among: found "1.5"; wanted a whole number`, "drylane drill run"},
		{"demo --field y", `--field: found "y"; wanted a whole number of 0 or more, such as 7`, "drylane demo"},
		{"rehearse x --latency 5", `--latency: found "5"; wanted a time with its unit, such as 180ms, 4s or 1m30s`, "drylane rehearse"},
		{"demo --level loud", `--level: found "loud"; wanted decibels, such as -12`, "drylane demo"},
		{"demo --level nan", `--level: found "nan"; wanted decibels, such as -12`, "drylane demo"},
		{"demo --level", "--level: found nothing behind it; wanted decibels, such as -12", "drylane demo"},
		{"retime a --to b --rate z", `--rate: found "z"; wanted parts per million, such as 250`, "drylane retime"},
		{"demo --theme pink", `--theme: found "pink"; wanted dark, light, night or mono`, "drylane demo"},
		{"tracks x --to y --bits 12", `--bits: found "12"; wanted 0, 16 or 24`, "drylane tracks"},
		{"demo --out", "--out: found nothing behind it; wanted a value", "drylane demo"},
		{"demo --out --json", "--out: found the flag --json behind it; wanted a value (--out=--json if that is one)", "drylane demo"},
		{"demo --json=3", `--json: found "3"; wanted it without a value`, "drylane demo"},
		{"retime x", "wanted --to NEWDIR as well", "drylane retime"},
		{"rehearse", "found no DIR; wanted one behind the command", "drylane rehearse"},
		{"drill", `found no command; wanted one of "list", "run", "make", "check", "debrief"`, "drylane drill"},
		{"foo", `found "foo", which has no place there`, "drylane"},
		{"demo --sed", `unknown flag --sed, did you mean "--speed"?`, "drylane demo"},
		{"retime a --to b --shift x --session y", "found both --session and --shift; wanted one of them", "drylane retime"},
	}
	for _, tt := range tests {
		_, said := parse(t, strings.Fields(tt.line)...)
		if want := "drylane: " + tt.said + "\nTry \"" + tt.help + " --help\".\n"; said != want {
			t.Errorf("%s\n got %s want %s", tt.line, said, want)
		}
	}
}

// TestEveryValueIsInPlainWords: a number or a time that is none is never told in the
// words of a programmer, by whatever flag of whatever command.
func TestEveryValueIsInPlainWords(t *testing.T) {
	t.Parallel()
	tried := 0
	for _, n := range commands(t) {
		for _, f := range n.Flags {
			kind := f.Target.Kind()
			if kind == reflect.Pointer {
				kind = f.Target.Type().Elem().Kind()
			}
			if kind == reflect.String || kind == reflect.Bool || kind == reflect.Slice {
				continue
			}
			tried++
			_, said := parse(t, append(strings.Fields(n.Path()), "--"+f.Name, "x")...)
			if !strings.Contains(said, `--`+f.Name+`: found "x"; wanted `) {
				t.Errorf("%s --%s x: %s", n.Path(), f.Name, said)
			}
		}
	}
	if tried < 20 {
		t.Errorf("%d flags were tried; wanted all with a number or a time", tried)
	}
}

// TestNumbersBelowZero: a minus before a number begins no flag.
func TestNumbersBelowZero(t *testing.T) {
	t.Parallel()
	c, said := parse(t, strings.Fields("soundcheck x --left -12 --right=-3.5 --for -3s --latency 180ms")...)
	if got := c.Soundcheck; said != "" || got.Left != -12 || got.Right != -3.5 || got.For != -3*time.Second || got.Latency != 180*time.Millisecond {
		t.Errorf("%s, read %+v", said, got)
	}
	if c, said := parse(t, strings.Fields("retime a --to b --rate -250")...); said != "" || *c.Retime.Rate != -250 {
		t.Errorf("%s, read %v", said, c.Retime.Rate)
	}
}

// TestReadmeCommandsRead: every command that the README shows in a line of its own is
// one, with flags that it has.
func TestReadmeCommandsRead(t *testing.T) {
	t.Parallel()
	text, err := os.ReadFile("../../README.md")
	if err != nil {
		t.Fatal(err)
	}
	shown := 0
	for line := range strings.Lines(string(text)) {
		words := strings.Fields(line)
		if len(words) < 2 || words[0] != "drylane" || strings.HasSuffix(words[1], ".") || words[1] == "is" {
			continue
		}
		shown++
		if _, said := parse(t, words[1:]...); said != "" {
			t.Errorf("%s%s", line, said)
		}
	}
	if shown < 8 {
		t.Errorf("%d commands are shown; wanted those of the first five minutes", shown)
	}
}
