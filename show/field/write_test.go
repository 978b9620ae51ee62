package field

import (
	"encoding/json"
	"encoding/xml"
	"io"
	"math"
	"strings"
	"testing"
	"unicode"

	"drylane/show"

	"pgregory.net/rapid"
)

// TestPicture draws the plan by hand: the terrace to the left, Right to the
// right, Ahead at the top, the two loudspeakers between, 2 columns a line.
func TestPicture(t *testing.T) {
	const want = `          A



          s
          s
o         o         B
`
	s := square()
	s.Positions[0].Distance = 206 // in 7 lines of 34.3 m
	if got := Of(s).Picture(21, 20); got != want {
		t.Errorf("picture:\n%s\nwant:\n%s", got, want)
	}
}

func TestPictureStaysInside(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := &show.Show{}
		for range rapid.IntRange(0, 80).Draw(t, "positions") {
			s.Positions = append(s.Positions, show.Position{Name: "P",
				Distance: rapid.Float64Range(0, 20000).Draw(t, "m"), Bearing: rapid.Float64Range(-360, 360).Draw(t, "bearing")})
		}
		w, h := rapid.IntRange(-1, 200).Draw(t, "width"), rapid.IntRange(-1, 60).Draw(t, "height")
		lines := strings.Split(strings.TrimSuffix(Of(s).Picture(w, h), "\n"), "\n")
		if len(lines) > max(h, 5) {
			t.Fatalf("%d lines, want at most %d", len(lines), max(h, 5))
		}
		for _, l := range lines {
			if len(l) > max(w, 10) {
				t.Fatalf("a line of %d columns, want at most %d", len(l), max(w, 10))
			}
		}
	})
}

// hostile is what a show file may call things.
const hostile = "\x1b[2J</title><script>alert(1)</script>\u202E\"' &"

func hostileShow() *show.Show {
	s := square()
	s.Title = hostile
	for i := range s.Positions {
		s.Positions[i].Name = hostile + string(rune('a'+i))
	}
	for i := range s.Speakers {
		s.Speakers[i].Name = hostile
	}
	s.Audiences[0].Name = hostile
	for i := range s.Cues {
		s.Cues[i].ID, s.Cues[i].Position = hostile, s.Positions[0].Name
	}
	return s
}

func TestTextIsClean(t *testing.T) {
	var b strings.Builder
	if err := Of(hostileShow()).WriteText(&b, 80); err != nil {
		t.Fatal(err)
	}
	for _, r := range b.String() {
		if r != '\n' && (unicode.IsControl(r) || r == '\u202E') {
			t.Fatalf("%U reaches the terminal", r)
		}
	}
}

func TestPageIsEscaped(t *testing.T) {
	var b strings.Builder
	if err := Of(hostileShow()).WriteHTML(&b); err != nil {
		t.Fatal(err)
	}
	page := b.String()
	if strings.Contains(page, "<script") || strings.Contains(page, "\x1b") || strings.Contains(page, "\u202E") {
		t.Errorf("a name reached the page as it is")
	}
	if !strings.Contains(page, "&lt;script&gt;") {
		t.Errorf("the names are not on the page at all")
	}
	for _, want := range []string{"<svg", `class="position"`, `class="ring"`, "LATER by 0.150 s", Decides} {
		if !strings.Contains(page, want) {
			t.Errorf("the page lacks %q", want)
		}
	}
}

// TestDrawingIsXML: the inline drawing is well formed, by the standard
// library's reader, and every mark lies on the board.
func TestDrawingIsXML(t *testing.T) {
	var b strings.Builder
	f := Of(hostileShow())
	if err := f.WriteHTML(&b); err != nil {
		t.Fatal(err)
	}
	_, svg, _ := strings.Cut(b.String(), "<svg")
	svg, _, _ = strings.Cut(svg, "</svg>")
	d := xml.NewDecoder(strings.NewReader("<svg" + svg + "</svg>"))
	d.Entity = xml.HTMLEntity
	for {
		if _, err := d.Token(); err == io.EOF {
			break
		} else if err != nil {
			t.Fatal(err)
		}
	}
	plan := f.drawing()
	for _, m := range plan.Marks {
		if math.IsNaN(m.X) || m.X < 0 || m.X > float64(plan.Width) || m.Y < 0 || m.Y > float64(plan.Height) {
			t.Errorf("%+v lies off the board of %d by %d", m, plan.Width, plan.Height)
		}
	}
}

func TestJSON(t *testing.T) {
	b, err := json.Marshal(Of(square()))
	if err != nil {
		t.Fatal(err)
	}
	var got struct {
		Speed     float64 `json:"speed_of_sound_m_s"`
		Nudge     float64 `json:"nudge_earlier_ms"`
		Audiences []struct {
			Positions []struct {
				Report float64 `json:"report_ms"`
			}
		}
	}
	if err := json.Unmarshal(b, &got); err != nil {
		t.Fatal(err)
	}
	if got.Speed != 343.2 || got.Nudge != -100 || len(got.Audiences) != 2 || got.Audiences[0].Positions[1].Report != 500 {
		t.Errorf("%+v", got)
	}
}
