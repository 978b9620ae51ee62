package screen

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"drylane/show/ascii"

	"pgregory.net/rapid"
)

// TestEveryMarkHasARow: each character that a golden screen is drawn with is told in
// ASCII.
func TestEveryMarkHasARow(t *testing.T) {
	t.Parallel()
	files, err := filepath.Glob("../../testdata/screens/*.txt")
	if err != nil || len(files) < 50 {
		t.Fatalf("%d golden screens: %v", len(files), err)
	}
	for _, file := range files {
		if strings.HasPrefix(filepath.Base(file), "wide-") {
			continue // names that have no spelling
		}
		text, err := os.ReadFile(file)
		if err != nil {
			t.Fatal(err)
		}
		for _, r := range string(text) {
			if _, row := asciiFor[r]; r >= 0x80 && !row && (r < 0x2800 || r > 0x28ff) && strings.HasPrefix(ascii.Text(string(r)), "{") {
				t.Errorf("%s: %q has no row", filepath.Base(file), r)
			}
		}
	}
}

// TestShownIsASCII: whatever a text holds, what is drawn of it is ASCII, in the columns
// that it is measured by.
func TestShownIsASCII(t *testing.T) {
	t.Parallel()
	l := Look{Theme: PlainTheme(), ASCII: true}
	rapid.Check(t, func(t *rapid.T) {
		s := rapid.StringOf(rapid.RuneFrom([]rune("aü漢ß▸…ï \u0301"))).Draw(t, "s")
		c := Canvas{W: 200, H: 1}
		x := c.Begin(l).Text(0, 0, 200, s, Normal)
		if got := c.Render(l.Theme); !ascii.Is(got) {
			t.Fatalf("%q is drawn as %q", s, got)
		}
		if want := min(200, l.Width(s)); x != want {
			t.Fatalf("%q takes %d columns, measured as %d", s, x, want)
		}
	})
}
