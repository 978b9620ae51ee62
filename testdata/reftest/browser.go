package reftest

import (
	"bytes"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
)

// Browse opens a page of HTML in headless Chromium and returns what the browser
// made of it. A word on the browser's console is an error of the test.
func Browse(t *testing.T, page string) (dom string) {
	t.Helper()
	chromium := Tool(t, "chromium")
	dir := t.TempDir()
	file := filepath.Join(dir, "page.html")
	if err := os.WriteFile(file, []byte(page), 0o600); err != nil {
		t.Fatal(err)
	}
	cmd := exec.Command(chromium, "--headless", "--no-sandbox", "--disable-gpu", "--user-data-dir="+filepath.Join(dir, "profile"),
		"--enable-logging=stderr", "--dump-dom", "file://"+file)
	var out, said bytes.Buffer
	cmd.Stdout, cmd.Stderr = &out, &said
	if err := cmd.Run(); err != nil {
		t.Fatalf("%v: %s", err, said.String())
	}
	for line := range strings.Lines(said.String()) {
		if strings.Contains(line, "CONSOLE") {
			t.Errorf("on the console: %s", line)
		}
	}
	return out.String()
}
