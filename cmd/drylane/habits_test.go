package main

import (
	"go/ast"
	"go/parser"
	"go/token"
	"io/fs"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"
)

// harmful are the phrases that no text of drylane may have, and what is wrong with
// them. What is right on the night is common practice, no source.
var harmful = []struct{ phrase, why string }{
	{`sky (is|was) clear|clear(ed)? sky|clear of what was lit`, "a list knows of nothing but its own burn times: LIST: nothing up; ask the spotter"},
	{`\btaken back\b`, "what was committed before a hold may be out there: treat as live"},
	{`dawdle|crowd is waiting|crowd waiting`, "no text urges a resume"},
	{`(on|is|a) guess\b`, "when in doubt, hold"},
	{`out of nerves|hold without a cause`, "a needless hold is a cost to the show, no fault"},
	{`make safe,? and stay|stay away`, "the crew that makes safe has to approach"},
	{`hold only if`, "hold is only the command"},
	{`(holds?|held) (an? [a-z ]+|the [a-z ]+|their [a-z ]+|it|them)(, [a-z ]+,)? against`, "hold is only the command: say checked against"},
	{`somebody's hands|nobody has looked at`, "nobody works in the field before it is made safe"},
	{`pass(es)? unfired|has passed`, "passed is a grade; a cue stood down is skipped, and stays loaded"},
	{`will hold\b|still holds|folder holds|intervals? holds?\b`, "hold is only the command"},
	{`do not cut without a call`, "whoever sees the danger cuts"},
	{`(resum|hold)[a-z]* within (5|6|8) seconds of (it|both|clear)`, "no marks for a quick resume"},
}

// TestShippedTexts reads every text that a user may meet: the drills and the demo,
// the README, the help, golden screens and pages, scripts, and the words in the code.
func TestShippedTexts(t *testing.T) {
	texts := shippedTexts(t, filepath.Join("..", ".."))
	if len(texts) < 1000 { // the walk has gone astray
		t.Fatalf("%d texts", len(texts))
	}
	for _, h := range harmful {
		re := regexp.MustCompile(`(?i)` + h.phrase)
		for _, x := range texts {
			if found := re.FindString(strings.Join(strings.Fields(x.text), " ")); found != "" {
				t.Errorf("%s: found %q: %s", x.where, found, h.why)
			}
		}
	}
}

// TestHarmfulPhrases: each pattern finds the sentence that it was made for, so that
// none of them is blind.
func TestHarmfulPhrases(t *testing.T) {
	for i, was := range []string{"Resumed; the sky is clear of it.", "(3 taken back)", "Then do not dawdle: the crowd is waiting.", "a hold on a guess",
		"a hold out of nerves counts", "fire nothing more, make safe, and stay away", "hold only if asked", "holds a stick against the show",
		"in the middle of somebody's hands", "its cues pass unfired", "no nudge will hold", "Do not cut without a call: see the show to its end.", "Resumed within 8 seconds of clear"} {
		if !regexp.MustCompile(`(?i)` + harmful[i].phrase).MatchString(was) {
			t.Errorf("%q does not find %q", harmful[i].phrase, was)
		}
	}
}

// A shippedText is a text and where it stands.
type shippedText struct{ where, text string }

// shippedTexts reads the tree: text files whole, and the strings of the Go files
// that are no tests.
func shippedTexts(t *testing.T, root string) (texts []shippedText) {
	t.Helper()
	err := filepath.WalkDir(root, func(path string, e fs.DirEntry, err error) error {
		switch name := e.Name(); {
		case err != nil:
			return err
		case e.IsDir() && (name == ".git" || name == "fuzz" || name == "rapid"):
			return fs.SkipDir
		case slices.Contains([]string{".toml", ".txt", ".html", ".js", ".md", ".csv", ".txtar"}, filepath.Ext(name)) && name != "DEVELOPERS.md":
			data, err := os.ReadFile(path)
			texts = append(texts, shippedText{path, string(data)})
			return err
		case filepath.Ext(name) == ".go" && !strings.HasSuffix(name, "_test.go"):
			texts = append(texts, wordsIn(t, path)...)
		}
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	return texts
}

// wordsIn are the strings of a Go file.
func wordsIn(t *testing.T, path string) (texts []shippedText) {
	fset := token.NewFileSet()
	file, err := parser.ParseFile(fset, path, nil, parser.SkipObjectResolution)
	if err != nil {
		t.Fatal(err)
	}
	ast.Inspect(file, func(n ast.Node) bool {
		if lit, ok := n.(*ast.BasicLit); ok && lit.Kind == token.STRING {
			if s, err := strconv.Unquote(lit.Value); err == nil && strings.Contains(s, " ") {
				texts = append(texts, shippedText{fset.Position(lit.Pos()).String(), s})
			}
		}
		return true
	})
	return texts
}
