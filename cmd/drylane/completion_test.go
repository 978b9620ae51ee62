package main

import (
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"drylane/testdata/reftest"
)

// TestCandidates: what may stand where somebody types, in the order of the help.
func TestCandidates(t *testing.T) {
	t.Parallel()
	root := tree(t)
	tests := []struct{ typed, want string }{ // words are parted by blanks, and the last may be empty
		{"dr", "drill drift"},
		{"drill ", "list run make check debrief"},
		{"drill run wi", "wind-stays wind witness witness-dark :files :folders"},
		{"drill run wind --see", "--seed"},
		{"demo --theme ", "dark light night mono"},
		{"demo --theme ni", "night"},
		{"demo --theme night --asc", "--ascii"},
		{"demo --ascii --json --repl", "--replace"},
		{"tracks x --bits ", "16 24"},
		{"rehearse ", ":folders"},
		{"rehearse a b ", ":folders"},
		{"rehearse a --auto ", ":files"},
		{"retime a --to ", ":folders"},
		{"export a b ", ""},
		{"replay la", "last :files"},
		{"retime a --session la", "last :files"},
		{"comple", "completion"},
		{"nonsense --", "--help"},
	}
	for _, tt := range tests {
		var got []string
		for _, line := range candidates(root, strings.Split(tt.typed, " ")) {
			word, _, _ := strings.Cut(line, "\t")
			got = append(got, word)
		}
		want := strings.Fields(tt.want)
		if strings.HasPrefix(tt.typed, "drill run w") { // in whatever order the drills have
			slices.Sort(got)
			slices.Sort(want)
		}
		if !slices.Equal(got, want) {
			t.Errorf("%q: got %q, want %q", tt.typed, got, want)
		}
	}
}

// TestShells lets each shell complete, by its script and with the program itself.
func TestShells(t *testing.T) {
	if testing.Short() {
		t.Skip("builds the program")
	}
	dir := t.TempDir()
	if err := os.Symlink(buildBinary(t), filepath.Join(dir, "drylane")); err != nil {
		t.Fatal(err)
	}
	if err := os.MkdirAll(filepath.Join(dir, "shows", "harbour"), 0o700); err != nil {
		t.Fatal(err)
	}
	for _, tt := range []struct{ shell, run, folders string }{
		{"bash", `source <(drylane completion bash)
			COMP_WORDS=(drylane drill r) COMP_CWORD=2; _drylane; echo "${COMPREPLY[@]}"
			COMP_WORDS=(drylane demo --theme "") COMP_CWORD=3; _drylane; echo "${COMPREPLY[@]}"
			COMP_WORDS=(drylane check sho) COMP_CWORD=2; _drylane; echo "${COMPREPLY[@]}"`, "shows"},
		// zsh completes in its line editor alone: what it would show is printed instead.
		{"zsh", `autoload() {}; compdef() {}; source <(drylane completion zsh)
			_describe() { echo "${(@)${(P)2}%%:*}" }; _files() { echo folders "$@" }
			words=(drylane drill r) CURRENT=3; _drylane
			words=(drylane demo --theme "") CURRENT=4; _drylane
			words=(drylane check sho) CURRENT=3; _drylane; true`, "folders -/"},
		{"fish", `drylane completion fish | source
			complete -C "drylane drill r" | string replace -r "\t.*" "" | string join " "
			complete -C "drylane demo --theme " | string join " "
			complete -C "drylane check sho" | string replace -r "\t.*" "" | string join " "; true`, "shows/"},
	} {
		t.Run(tt.shell, func(t *testing.T) {
			cmd := exec.Command(reftest.Tool(t, tt.shell), "-c", tt.run)
			cmd.Dir = dir
			cmd.Env = append(os.Environ(), "HOME="+dir, "XDG_DATA_HOME="+dir, "XDG_CONFIG_HOME="+dir, "PATH="+dir+":"+os.Getenv("PATH"))
			out, err := cmd.CombinedOutput()
			lines := strings.Split(strings.TrimSpace(string(out)), "\n")
			if err != nil || len(lines) != 3 || lines[0] != "run" || strings.Join(slices.Sorted(slices.Values(strings.Fields(lines[1]))), " ") != "dark light mono night" || lines[2] != tt.folders {
				t.Errorf("%v:\n%s\nwanted run, the themes, and %s", err, out, tt.folders)
			}
		})
	}
}

// TestManual: every command and every flag that the help shows is in the manual page,
// and groff has nothing to say against it.
func TestManual(t *testing.T) {
	t.Parallel()
	text := manual(tree(t))
	for _, n := range commands(t) {
		name := escaped(strings.TrimPrefix(n.FullPath(), "drylane "))
		_, below, ok := strings.Cut(text, "\n.SS \""+name)
		if ok == n.Hidden {
			t.Errorf("%s: is it in the manual: %v; hidden: %v", n.FullPath(), ok, n.Hidden)
		}
		for _, f := range n.Flags {
			if ok && f.Name != "help" && f.Hidden == strings.Contains(below, "\n.B \""+escaped("--"+f.Name)) {
				t.Errorf("%s --%s: is it in the manual: %v", n.FullPath(), f.Name, f.Hidden)
			}
		}
	}
	cmd := exec.Command(reftest.Tool(t, "groff"), "-man", "-Tutf8", "-ww", "-z")
	cmd.Stdin = strings.NewReader(text)
	if out, err := cmd.CombinedOutput(); err != nil || len(out) > 0 {
		t.Errorf("%v: %s", err, out)
	}
}
