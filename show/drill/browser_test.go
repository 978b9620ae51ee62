package drill

import (
	"bytes"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"drylane/playback/reftest"
)

// TestInABrowser opens both pages in headless Chromium: they must load without
// a word on the console, and what the browser makes of them must be what was
// meant, hostile texts and all.
func TestInABrowser(t *testing.T) {
	chromium := reftest.Tool(t, "chromium")
	var progress bytes.Buffer
	if err := NewProgress(append(robinAndAlex(), nasty(t))).WriteHTML(&progress, monday); err != nil {
		t.Fatal(err)
	}
	for name, tt := range map[string]struct {
		page     string
		sections int
	}{
		"debrief":  {page(t, robinsResult(t), nasty(t)), 2},
		"progress": {progress.String(), 3},
	} {
		t.Run(name, func(t *testing.T) {
			dir := t.TempDir()
			file := filepath.Join(dir, "page.html")
			if err := os.WriteFile(file, []byte(tt.page), 0o600); err != nil {
				t.Fatal(err)
			}
			cmd := exec.Command(chromium, "--headless", "--no-sandbox", "--disable-gpu", "--user-data-dir="+filepath.Join(dir, "profile"),
				"--enable-logging=stderr", "--dump-dom", "file://"+file)
			var dom, said bytes.Buffer
			cmd.Stdout, cmd.Stderr = &dom, &said
			if err := cmd.Run(); err != nil {
				t.Fatalf("%v: %s", err, said.String())
			}
			for line := range strings.Lines(said.String()) {
				if strings.Contains(line, "CONSOLE") {
					t.Errorf("on the console: %s", line)
				}
			}
			text := dom.String()
			if strings.Contains(text, "<script") || !strings.Contains(text, "&lt;script&gt;alert(1)") {
				t.Error("a hostile text became markup")
			}
			if n := strings.Count(text, "<section>"); n != tt.sections || !strings.HasSuffix(strings.TrimSpace(text), "</html>") {
				t.Errorf("the page has %d sections, want %d", n, tt.sections)
			}
		})
	}
}
