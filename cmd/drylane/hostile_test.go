package main

import (
	"bytes"
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"runtime"
	"strings"
	"testing"
	"unicode"

	"drylane/playback/sessions"
)

// evil would clear a screen, recolour it, ring, hide and turn around what follows.
const evil = "\x1b[2J\x1b[31m\a\u202e\u200b\u009b"

// TestHostileTexts: whatever a session log, a drill or their names hold, no
// command prints a control or bidi character of it, nor a line of its own.
func TestHostileTexts(t *testing.T) {
	if runtime.GOOS == "windows" {
		t.Skip("no such file names there")
	}
	dir := t.TempDir()
	good := filepath.Join(t.TempDir(), "log.jsonl")
	e, _ := testEnv(t)
	drill := &drillRunCmd{Drill: "fallout", runFlags: runFlags{Auto: "good", Log: good, Person: "Robin", outFlags: outFlags{Out: "auto", Speed: "1", Bangs: "both"}}}
	if err := drill.Run(e); err != nil {
		t.Fatal(err)
	}
	for key, log := range hostileLogs(t, good) {
		path := filepath.Join(dir, key+evil+"\nx.jsonl")
		if err := os.WriteFile(path, log, 0o600); err != nil {
			t.Fatal(err)
		}
		commands := map[string]func(e *env) error{
			"drift":         driftCmd{Session: []string{path}, Lane: true}.Run,
			"report":        reportCmd{Session: []string{path}, CSV: filepath.Join(t.TempDir(), "x.csv")}.Run,
			"drill debrief": drillDebriefCmd{Session: path}.Run,
			"replay":        replayCmd{Log: path}.Run,
		}
		for name, command := range commands {
			checkTame(t, name+" with a hostile "+key, command)
		}
	}
	checkTame(t, "sessions", sessionsCmd{Dir: dir}.Run)
	checkTame(t, "progress", progressCmd{Name: "Robin", Dir: dir}.Run)

	text, err := os.ReadFile(filepath.Join("..", "..", "testdata", "drills", "fallout.toml"))
	if err != nil {
		t.Fatal(err)
	}
	quoted := regexp.MustCompile(`(?m)^(title|briefing) = "`).ReplaceAll(text, []byte(`$0`+`\u001b[2J\u0007\u202e`))
	for name, drill := range map[string][]byte{"good": quoted, "bad": []byte(`titel = "\u001b[2J"`)} {
		if err := os.WriteFile(filepath.Join(dir, name+evil+".toml"), drill, 0o600); err != nil {
			t.Fatal(err)
		}
	}
	checkTame(t, "drill list", drillListCmd{Dir: dir}.Run)
}

// testEnv is an env whose output is kept.
func testEnv(t *testing.T) (*env, *bytes.Buffer) {
	var out bytes.Buffer
	return &env{ctx: t.Context(), in: os.Stdin, out: &out, errOut: &out}, &out
}

// checkTame runs a command, as the program does, and looks at what it prints.
func checkTame(t *testing.T, name string, command func(e *env) error) {
	t.Helper()
	e, out := testEnv(t)
	if err := command(e); err != nil {
		fmt.Fprintln(out, cleanLines(err.Error()))
	}
	if out.Len() == 0 && name != "report" && !strings.HasPrefix(name, "report ") {
		t.Errorf("%s: nothing was printed", name)
	}
	for _, r := range out.String() {
		if r != '\n' && (unicode.IsControl(r) || unicode.Is(unicode.Cf, r)) {
			t.Errorf("%s: found %U in %q", name, r, out)
			return
		}
	}
	for line := range strings.Lines(out.String()) {
		if strings.HasPrefix(line, "x.jsonl") {
			t.Errorf("%s: a file's name broke a line: %q", name, out)
		}
	}
}

// hostileLogs are variants of a log, each with one key's texts turned hostile,
// and some that are damaged.
func hostileLogs(t *testing.T, path string) map[string][]byte {
	text, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	if _, err := sessions.Read(path); err != nil {
		t.Fatal(err)
	}
	escaped, _ := json.Marshal(evil)
	inside := bytes.Trim(escaped, `"`)
	logs := map[string][]byte{
		"torn":    append([]byte(nil), text[:len(text)-9]...),
		"no-json": []byte(evil),
		"no-line": append(append([]byte(nil), text...), evil+"\n"...),
	}
	for _, m := range regexp.MustCompile(`"([a-z_A-Z0-9]+)":"`).FindAllSubmatch(text, -1) {
		key := string(m[1])
		if logs[key] == nil {
			logs[key] = bytes.ReplaceAll(text, m[0], append(append([]byte(nil), m[0]...), inside...))
		}
	}
	if len(logs) < 10 {
		t.Fatalf("found only %d texts in the log", len(logs))
	}
	return logs
}
