package reftest

import (
	"bytes"
	"encoding/json"
	"fmt"
	"html"
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
	return chromium(t, page, "--dump-dom")
}

// Pages prints a page of HTML on paper, such as A4 or letter, and returns how
// many sheets it takes.
func Pages(t *testing.T, page, paper string) int {
	t.Helper()
	pdf := filepath.Join(t.TempDir(), "page.pdf")
	sized := strings.Replace(page, "</head>", "<style>@page { size: "+paper+" }</style></head>", 1)
	chromium(t, sized, "--no-pdf-header-footer", "--print-to-pdf="+pdf)
	data, err := os.ReadFile(pdf)
	if err != nil {
		t.Fatal(err)
	}
	// Each page is an object of its own, beside the one that lists them.
	return bytes.Count(data, []byte("/Type /Page\n"))
}

// A Layout is what a page looks like in a window.
type Layout struct {
	Width   int      // in CSS pixels, of all that can be scrolled to
	Outside []string // texts that are not in the window at its left end
	Broken  []string // words that are parted in the middle although they are short
	Small   []string // texts smaller than 11 px
}

// Phone lays a page out in a window as wide as a small telephone's, in CSS
// pixels, and measures it.
func Phone(t *testing.T, page string, width int) (l Layout) {
	t.Helper()
	host := fmt.Sprintf(phoneHost, width, html.EscapeString(page), width)
	dom := chromium(t, host, "--dump-dom", "--virtual-time-budget=5000")
	_, dom, _ = strings.Cut(dom, `<pre id="found">`)
	found, _, ok := strings.Cut(dom, "</pre>")
	if err := json.Unmarshal([]byte(html.UnescapeString(found)), &l); !ok || err != nil {
		t.Fatalf("the page was not measured: %v", err)
	}
	return l
}

// phoneHost is a page with a page in it. A word of 14 characters or less fits on
// a line of any telephone.
const phoneHost = `<!DOCTYPE html><meta charset="utf-8"><iframe id="phone" style="border:0;width:%dpx;height:800px" srcdoc="%s"></iframe><pre id="found"></pre>
<script>
document.getElementById("phone").onload = e => {
  const doc = e.target.contentDocument, width = %d;
  const found = { Width: doc.documentElement.scrollWidth, Outside: [], Broken: [], Small: [] };
  const walk = doc.createTreeWalker(doc.body, NodeFilter.SHOW_TEXT);
  for (let n; n = walk.nextNode();) {
    const style = getComputedStyle(n.parentElement), svg = n.parentElement.ownerSVGElement;
    for (const m of n.data.matchAll(/\S+/g)) {
      const range = doc.createRange();
      range.setStart(n, m.index); range.setEnd(n, m.index + m[0].length);
      const boxes = [...range.getClientRects()];
      if (!boxes.length || n.parentElement.closest("title")) continue;
      if (boxes.some(b => b.left < -1 || b.right > width + 1)) found.Outside.push(m[0]);
      if (m[0].length <= 14 && new Set(boxes.map(b => Math.round(b.top))).size > 1) found.Broken.push(m[0]);
      const scale = svg ? svg.getScreenCTM().a : 1;
      if (parseFloat(style.fontSize) * scale < 11) found.Small.push(m[0]);
    }
  }
  document.getElementById("found").textContent = JSON.stringify(found);
};
</script>`

// chromium opens a page of HTML in a headless browser of its own and returns
// what that prints.
func chromium(t *testing.T, page string, args ...string) string {
	t.Helper()
	program := Tool(t, "chromium")
	dir := t.TempDir()
	file := filepath.Join(dir, "page.html")
	if err := os.WriteFile(file, []byte(page), 0o600); err != nil {
		t.Fatal(err)
	}
	args = append([]string{"--headless", "--no-sandbox", "--disable-gpu", "--user-data-dir=" + filepath.Join(dir, "profile"),
		"--enable-logging=stderr"}, args...)
	cmd := exec.Command(program, append(args, "file://"+file)...)
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
