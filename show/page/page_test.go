package page

import (
	"fmt"
	"slices"
	"strings"
	"testing"
	"time"

	"drylane/testdata/reftest"

	"pgregory.net/rapid"
)

const body = `{{template "head" .Title}}</head>
<body><h1>{{clean .Title}}</h1><p>{{count 2 "run"}}, {{day .Made}}, {{add1 1}}, {{shout "x"}}</p>
<svg viewBox="0 0 100 100">{{template "rules" .Rules}}{{template "labels" .Labels}}</svg>
{{template "care" .Title}}</body></html>`

func write(t *testing.T, title string) string {
	t.Helper()
	var b strings.Builder
	err := New(body, map[string]any{"shout": strings.ToUpper}).Execute(&b, struct {
		Title  string
		Made   time.Time
		Rules  Rules
		Labels Labels
	}{title, time.Date(2026, 7, 5, 9, 0, 0, 0, time.UTC), Rules{20, 90, []Tick{{50, title}}}, Labels{95, []Tick{{30, "0:10"}}}})
	if err != nil {
		t.Fatal(err)
	}
	return b.String()
}

// TestPageIsHarmless: whatever a title says stays text, and the page asks for
// nothing outside itself.
func TestPageIsHarmless(t *testing.T) {
	text := write(t, `</title><script>alert(1)</script>"><img src=x>`)
	for _, bad := range []string{"<script", "<img", "http:", "https:", "url(", "@import", "ZgotmplZ"} {
		if strings.Contains(text, bad) {
			t.Errorf("the page holds %q", bad)
		}
	}
	for _, want := range []string{
		"default-src 'none'", `name="viewport"`, "@media print", "2 runs, 2026-07-05 09:00, 2, X",
		`<line class="rule" x1="20" x2="90" y1="50" y2="50"/><text class="soft" x="12" y="50"`, `x="30" y="95" text-anchor="middle">0:10<`,
		"no firing system", "authority having jurisdiction (AHJ)", "licensed operator in charge", "local law", "No figure here is permission",
	} {
		if !strings.Contains(text, want) {
			t.Errorf("the page lacks %q", want)
		}
	}
}

// TestInABrowser: headless Chromium takes the page without a word.
func TestInABrowser(t *testing.T) {
	if text := reftest.Browse(t, write(t, "Fair & Square")); !strings.Contains(text, "<title>Fair &amp; Square</title>") {
		t.Errorf("the browser made of it:\n%.500s", text)
	}
}

func TestTicks(t *testing.T) {
	show := func(ticks []Tick) (out []string) {
		for _, k := range ticks {
			out = append(out, fmt.Sprintf("%g %s", k.At, k.Text))
		}
		return out
	}
	value := func(v float64) string { return fmt.Sprintf("%.4g", v) }
	for _, c := range []struct {
		name string
		got  []Tick
		want []string
	}{
		{"seconds", Axis{0, 4, 100, 200}.TimeTicks(5), []string{"100 0:00", "125 0:01", "150 0:02", "175 0:03", "200 0:04"}},
		{"half hours", Axis{0, 5400, 0, 300}.TimeTicks(4), []string{"0 0:00", "100 30:00", "200 1:00:00", "300 1:30:00"}},
		{"from before zero", Axis{-10, 20, 0, 300}.TimeTicks(3), []string{"100 0:00", "200 0:10", "300 0:20"}},
		{"values", Axis{-0.25, 0.15, 40, 0}.Ticks(4, []float64{0.05, 0.1, 1}, value), []string{"35 -0.2", "25 -0.1", "15 0", "5 0.1"}},
		{"no range", Axis{1, 1, 7, 9}.Ticks(3, []float64{1}, value), []string{"7 1"}},
	} {
		if got := show(c.got); !slices.Equal(got, c.want) {
			t.Errorf("%s: %q; want %q", c.name, got, c.want)
		}
	}
}

// TestAxisKeepsOrder: what is later lies further along, and on the board.
func TestAxisKeepsOrder(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		lo := rapid.Float64Range(-100, 100).Draw(t, "lo")
		a := Axis{lo, lo + rapid.Float64Range(0.001, 1e5).Draw(t, "span"), 116, 944}
		x := rapid.Float64Range(a.Lo, a.Hi).Draw(t, "x")
		y := rapid.Float64Range(x, a.Hi).Draw(t, "y")
		if a.At(x) < a.From || a.At(x) > a.At(y) || a.At(y) > a.To {
			t.Fatalf("%+v puts %g at %g and %g at %g", a, x, a.At(x), y, a.At(y))
		}
		if n := len(a.TimeTicks(10)); n > 21 {
			t.Fatalf("%d ticks on %+v", n, a)
		}
	})
}

func TestPathAndFit(t *testing.T) {
	var p Path
	p.To(1, 2)
	p.To(3.14159, 4)
	p.From(5, 6)
	p.To(7, 8)
	if got, want := p.String(), "M1 2L3.1 4M5 6L7 8"; got != want {
		t.Errorf("%s; want %s", got, want)
	}
	for _, c := range []struct{ name, want string }{{"", ""}, {"Quay", "Quay"}, {"Käfer", "Käfer"}, {"Mole east", "Mole…"}} {
		if got := Fit(c.name, 5); got != c.want {
			t.Errorf("%q; want %q", got, c.want)
		}
	}
}

// TestOutline: peaks over a floor, from its beginning to its end and no higher than full.
func TestOutline(t *testing.T) {
	p := Outline([]float32{0.5, 2, 0}, Axis{Hi: 10, To: 100}, Axis{Hi: 1, From: 50, To: 0})
	if got, want := p.String(), "M0 50L0 25L10 0L20 50L30 50"; got != want {
		t.Errorf("%s; want %s", got, want)
	}
	if got := Outline(nil, Axis{Hi: 1, To: 1}, Axis{Hi: 1}); got.String() != "" {
		t.Errorf("%q of no peaks", got.String())
	}
}
