package picture

import (
	"encoding/xml"
	"io"
	"strings"
	"testing"
	"time"
)

// TestSVG: every run stands in its column with its colours, a row that comes again is
// kept once, and the whole reads as XML.
func TestSVG(t *testing.T) {
	t.Parallel()
	m := Movie{Columns: 10, Rows: 2, Text: "#cccccc", Paper: "#000000", Each: 500 * time.Millisecond, Still: 1, Title: "a & b", Frames: []string{
		"\x1b[1;38;2;255;0;16m▸ <a>\x1b[0m b\nsame",
		"  \x1b[38;2;1;2;3;48;2;255;255;255mx\x1b[0m\nsame",
	}}
	svg := m.SVG()
	for _, want := range []string{
		`<title>a &amp; b</title>`,
		`<text y="12"><tspan x="0" textLength="40" class="c0">▸ &lt;a&gt;</tspan><tspan x="48">b</tspan></text>`,
		`.c0{fill:#ff0010;font-weight:bold}`,
		`<rect x="16" width="8" height="16" fill="#ffffff"/><text y="12"><tspan x="16" class="c1">x</tspan></text>`,
		`<use href="#r1" y="16"/>`,
		`#f0{animation-delay:-1s}#f1{animation-delay:-0.5s}`,
		`@keyframes f{0%{visibility:visible}50.000%,100%{visibility:hidden}}.f{visibility:hidden;animation:f 1s step-end infinite}`,
		`#f1{visibility:visible}`,
	} {
		if !strings.Contains(svg, want) {
			t.Errorf("%s is not in\n%s", want, svg)
		}
	}
	if n := strings.Count(svg, "same"); n != 1 {
		t.Errorf("a row of both frames is kept %d times; wanted once", n)
	}
	for d := xml.NewDecoder(strings.NewReader(svg)); ; {
		if _, err := d.Token(); err == io.EOF {
			break
		} else if err != nil {
			t.Fatal(err)
		}
	}
}
