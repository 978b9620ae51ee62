package review

import (
	"bytes"
	"encoding/json"
	"encoding/xml"
	"io"
	"math/rand/v2"
	"strings"
	"testing"
	"time"

	"drylane/show"
)

func report(t *testing.T) (Report, Music) {
	t.Helper()
	r := rand.New(rand.NewPCG(1, 2))
	m := invented(r, 2*time.Minute)
	cues := placed(r, m, 120, func(p string, _ time.Duration) time.Duration { return 300 * ms })
	cues = append(cues, show.Cue{ID: `<script>"\x1b[31m`, Position: "</td><b>", EffectAt: 3 * time.Minute})
	return Check(cues, m), m
}

// TestPage: the page is whole, has no scripts and reaches for nothing, and what
// a file says stays text.
func TestPage(t *testing.T) {
	t.Parallel()
	rep, m := report(t)
	var b bytes.Buffer
	p := Page{Title: "Fair & <i>Square</i>", Made: time.Unix(0, 0).UTC(), Report: rep, Music: m, Wave: make([]float32, 1200)}
	if err := p.WriteHTML(&b); err != nil {
		t.Fatal(err)
	}
	page := b.String()
	for _, want := range []string{"Fair &amp; &lt;i&gt;Square", "the whole list is 0.30 s late", "&lt;/td&gt;&lt;b&gt;", `name="viewport"`, "no firing system", "No figure here is permission"} {
		if !strings.Contains(page, want) {
			t.Errorf("the page lacks %q", want)
		}
	}
	for _, bad := range []string{"<script", "<b>", "http:", "https:", "src=", "NaN", "ZgotmplZ", "\x1b"} {
		if strings.Contains(page, bad) {
			t.Errorf("the page holds %q", bad)
		}
	}
	// Tags are balanced.
	d := xml.NewDecoder(strings.NewReader(page))
	d.Strict = false
	d.AutoClose, d.Entity = []string{"meta"}, xml.HTMLEntity
	for {
		if _, err := d.Token(); err == io.EOF {
			break
		} else if err != nil {
			t.Fatal(err)
		}
	}
	// Nothing at all still makes a page.
	if err := (Page{Report: Check(nil, Music{})}).WriteHTML(io.Discard); err != nil {
		t.Error(err)
	}
}

func TestJSON(t *testing.T) {
	t.Parallel()
	rep, _ := report(t)
	b, err := json.Marshal(rep)
	if err != nil {
		t.Fatal(err)
	}
	var got struct {
		Show      struct{ Shift, Confidence float64 }
		Positions []struct{ Name string }
		Cues      []struct{ Cue string }
		Verdicts  []struct{ Code string }
	}
	if err := json.Unmarshal(b, &got); err != nil {
		t.Fatal(err)
	}
	if got.Show.Shift < 0.28 || got.Show.Shift > 0.32 || got.Verdicts[0].Code != "shifted" || len(got.Cues) != 121 || len(got.Positions) != 7 {
		t.Errorf("got %+v", got)
	}
}

func TestText(t *testing.T) {
	t.Parallel()
	rep, _ := report(t)
	var b bytes.Buffer
	if err := rep.WriteText(&b, true); err != nil {
		t.Fatal(err)
	}
	for _, want := range []string{"the whole list is 0.30 s late", "Quay", "too few cues", "no accent near"} {
		if !strings.Contains(b.String(), want) {
			t.Errorf("the text lacks %q", want)
		}
	}
	if strings.Contains(b.String(), "\x1b") {
		t.Error("the text holds an escape")
	}
}
