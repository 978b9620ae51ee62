package main

import (
	"os"
	"regexp"
	"strings"
	"testing"

	"github.com/alecthomas/kong"
)

// tree is the command line of the program.
func tree(t *testing.T) *kong.Node {
	t.Helper()
	var c cli
	parser, err := kong.New(&c, kong.Name("drylane"))
	if err != nil {
		t.Fatal(err)
	}
	return parser.Model.Node
}

// commands are all commands of the program, with those that only hold others.
func commands(t *testing.T) []*kong.Node {
	t.Helper()
	var all []*kong.Node
	var walk func(n *kong.Node)
	walk = func(n *kong.Node) {
		for _, child := range n.Children {
			all = append(all, child)
			walk(child)
		}
	}
	walk(tree(t))
	return all
}

// TestEveryCommandHasAnExample: as the README has it, and the example is of that
// command.
func TestEveryCommandHasAnExample(t *testing.T) {
	t.Parallel()
	all := commands(t)
	if len(all) < 30 {
		t.Fatalf("found %d commands; wanted all", len(all))
	}
	for _, n := range all {
		name := n.Path()
		_, example, ok := strings.Cut(n.Detail, "Example")
		if !ok {
			t.Errorf("%s: the help has no example", name)
			continue
		}
		if !strings.Contains(example, "\n  drylane "+strings.TrimPrefix(name, "drylane ")) {
			t.Errorf("%s: no example is of it:\n%s", name, example)
		}
	}
}

// removed are the words that mean something else, or have another name now.
var removed = []*regexp.Regexp{
	regexp.MustCompile(`expect_devices`),
	regexp.MustCompile(`--reports`),
	regexp.MustCompile("`reports`"),
	regexp.MustCompile(`(?i)\bhold(s|ing)? (?:[a-z]+[ ,]+){0,8}against\b`),
	regexp.MustCompile(`(?i)\bhold(s|ing)? (?:(?:[a-z']+[ ,]+){0,5}side by side|the scores?)\b`),
	regexp.MustCompile(`(?i)\bheld (?:[a-z]+[ ,]+){0,3}against\b`),
	regexp.MustCompile(`(?i)music and reports`),
	regexp.MustCompile(`(?i)passed,? stood down`),
	regexp.MustCompile(`(?i)stand (it |them )?up again`),
	regexp.MustCompile(`29\.97 ?(df|DF|drop.?frame)`),
	regexp.MustCompile(`(?i)nothing is known of the drift`),
}

// TestWordsOfTheHelp reads what a user reads first, and finds none of the words that
// were taken for something else.
func TestWordsOfTheHelp(t *testing.T) {
	t.Parallel()
	readme, err := os.ReadFile("../../README.md")
	if err != nil {
		t.Fatal(err)
	}
	texts := map[string]string{"README.md": string(readme)}
	for _, n := range commands(t) {
		text := n.Help + "\n" + n.Detail
		for _, f := range n.Flags {
			text += "\n--" + f.Name + " " + f.Help
		}
		for _, p := range n.Positional {
			text += "\n" + p.Help
		}
		texts[n.Path()] = text
	}
	for name, text := range texts {
		text = strings.Join(strings.Fields(text), " ")
		for _, word := range removed {
			if found := word.FindString(text); found != "" {
				t.Errorf("%s: found %q, which has another word now", name, found)
			}
		}
	}
}
