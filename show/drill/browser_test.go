package drill

import (
	"bytes"
	"strings"
	"testing"

	"drylane/testdata/reftest"
)

// TestInABrowser opens both pages in headless Chromium: they must load without
// a word on the console, and what the browser makes of them must be what was
// meant, hostile texts and all.
func TestInABrowser(t *testing.T) {
	var progress bytes.Buffer
	if err := NewProgress(append(robinAndAlex(), nasty(t))).WriteHTML(&progress, monday); err != nil {
		t.Fatal(err)
	}
	for name, tt := range map[string]struct {
		page     string
		sections int
	}{
		"debrief":  {pageOf(t, robinsResult(t), nasty(t)), 2},
		"progress": {progress.String(), 3},
	} {
		t.Run(name, func(t *testing.T) {
			text := reftest.Browse(t, tt.page)
			if strings.Contains(text, "<script") || !strings.Contains(text, "&lt;script&gt;alert(1)") {
				t.Error("a hostile text became markup")
			}
			if n := strings.Count(text, "<section>"); n != tt.sections || !strings.HasSuffix(strings.TrimSpace(text), "</html>") {
				t.Errorf("the page has %d sections, want %d", n, tt.sections)
			}
		})
	}
}
