package hear

import (
	"encoding/json"
	"fmt"
	"math"
	"math/rand/v2"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	"drylane/show"
	"drylane/testdata/reftest"
)

// A fire is how a show went, for tests: what is heard of it is worked out by hand from
// distances, and not as the package does it.
type fire struct {
	late   func(show.Cue) float64 // seconds
	holds  []Hold                 // At and Length
	offset float64
	missed float64 // the part of the bangs that is not found
	stray  float64 // bangs a second that belong to nothing
	wall   bool    // a bang every tenth of a second besides
	sharp  bool    // nothing scatters
	seed   uint64
}

const lasts = 200 * time.Second

// square is a show of 160 cues at four positions, all of whose bangs are 343.2 m away, or
// as far up, at 20 degrees: a second on the ground, and no music on its way.
func square() *show.Show {
	s := &show.Show{Title: "Square", Air: show.Air{TemperatureC: 20}, Speakers: []show.Speaker{{Name: "here"}}}
	for i := range 4 {
		s.Positions = append(s.Positions, show.Position{Name: string(rune('A' + i)), Distance: 343.2, Bearing: float64(30 * i)})
	}
	r := rand.New(rand.NewPCG(3, 4))
	for i := range 160 {
		c := show.Cue{ID: fmt.Sprint(i + 1), EffectAt: time.Duration(8+185*r.Float64()) * time.Second, Position: s.Positions[r.IntN(4)].Name, Effect: "mine", Family: show.FamilyMine, Caliber: 60}
		c.EffectAt += time.Duration(r.IntN(1000)) * time.Millisecond
		if k := r.IntN(3); k < 2 {
			c.Effect, c.Family, c.Caliber, c.Prefire = "peony shell", show.FamilyShell, []float64{75, 100}[k], 3*time.Second
		}
		s.Cues = append(s.Cues, c)
	}
	slices.SortFunc(s.Cues, func(a, b show.Cue) int { return int(a.IgniteAt() - b.IgniteAt()) })
	return s
}

// ways are how long the sound is on its way from the square's breaks, in seconds: 90 and
// 120 m up.
var ways = map[float64]float64{60: 1, 75: math.Hypot(343.2, 90) / 343.2, 100: math.Hypot(343.2, 120) / 343.2}

func (f fire) recording(s *show.Show) Recording {
	r := rand.New(rand.NewPCG(f.seed, 1))
	rec := Recording{Name: "tape", Length: seconds(f.offset) + lasts + 20*time.Second}
	from, held := time.Duration(0), time.Duration(0)
	for _, h := range append(slices.Clone(f.holds), Hold{At: lasts}) {
		rec.Pieces = append(rec.Pieces, Piece{From: from, To: h.At, At: seconds(f.offset) + from + held, Rate: 1})
		from, held = h.At, held+h.Length
		rec.Length += h.Length
	}
	add := func(at float64, rise float64) {
		if at > 0 && at < rec.Length.Seconds() {
			rec.Bangs = append(rec.Bangs, Bang{seconds(at), rise})
		}
	}
	for _, c := range s.Cues {
		if r.Float64() < f.missed {
			continue
		}
		at := f.offset + c.EffectAt.Seconds() + ways[c.Caliber]
		if !f.sharp {
			at += 0.025 * r.NormFloat64()
		}
		for _, h := range f.holds {
			if c.IgniteAt() >= h.At {
				at += h.Length.Seconds()
			}
		}
		if f.late != nil {
			at += f.late(c)
		}
		add(at, 1+r.Float64())
	}
	for range int(f.stray * rec.Length.Seconds()) {
		add(rec.Length.Seconds()*r.Float64(), 0.4+0.8*r.Float64())
	}
	for at := 0.0; f.wall && at < rec.Length.Seconds(); at += 0.1 {
		add(at+0.05*r.Float64(), 1+r.Float64())
	}
	slices.SortFunc(rec.Bangs, func(a, b Bang) int { return int(a.At - b.At) })
	return rec
}

// TestCheck: what was planted is what is told, in the same words as a review's.
func TestCheck(t *testing.T) {
	s := square()
	at := func(name string) func(show.Cue) float64 {
		return func(c show.Cue) float64 {
			if c.Position == name {
				return 0.3
			}
			return 0
		}
	}
	usual := fire{offset: 12, missed: 0.3, stray: 0.3}
	plant := func(change func(*fire)) fire {
		f := usual
		change(&f)
		return f
	}
	for _, c := range []struct {
		name string
		fire fire
		want []string // codes of the facts, with what they are about and how late in ms
	}{
		{"in place", usual, []string{"in-place 0"}},
		{"late", plant(func(f *fire) { f.late = func(show.Cue) float64 { return 0.42 } }), []string{"shifted 400"}},
		{"early", plant(func(f *fire) { f.late = func(show.Cue) float64 { return -1.1 } }), []string{"shifted -1100"}},
		{"one position", plant(func(f *fire) { f.late = at("C") }), []string{"position-apart C 300", "in-place 0"}},
		{"prefires of one size", plant(func(f *fire) {
			f.late = func(c show.Cue) float64 {
				if c.Caliber == 100 {
					return -0.25
				}
				return 0
			}
		}), []string{"size-apart 100 mm -250", "in-place 0"}},
		{"growing", plant(func(f *fire) { f.late = func(c show.Cue) float64 { return 1e-3 * (c.EffectAt.Seconds() - 100) } }), []string{"in-place 0", "drifts 0"}},
		{"held", plant(func(f *fire) {
			f.holds = []Hold{{At: 60 * time.Second, Length: 20 * time.Second}, {At: 130 * time.Second, Length: 7 * time.Second}}
		}), []string{"in-place 0"}},
		{"the recorder late", plant(func(f *fire) { f.offset = -80 }), []string{"in-place 0"}},
		{"nothing heard", fire{offset: 12, missed: 1, stray: 0.3}, nil},
		{"a wall of sound", fire{offset: 12, missed: 0.9, wall: true}, nil},
	} {
		rep := Check(s, []Recording{c.fire.recording(s)}, 0)
		var got []string
		for _, v := range rep.Verdicts {
			if v.Fact() {
				ms := v.Late.Round(50 * time.Millisecond).Milliseconds()
				got = append(got, strings.Join(strings.Fields(fmt.Sprint(v.Code, " ", v.Position, " ", v.Caliber, " ", ms)), " "))
			}
		}
		if !slices.Equal(got, c.want) {
			t.Errorf("%s: %q, want %q\n%+v", c.name, got, c.want, rep.Verdicts)
		}
	}
}

// TestIntervals: the true shift is within the bounds that are told, which the bangs' own
// scatter does not make narrower than what is known of the field.
func TestIntervals(t *testing.T) {
	s := square()
	within := 0
	for seed := range uint64(20) {
		f := fire{offset: 5, missed: 0.4, stray: 0.4, seed: seed, late: func(show.Cue) float64 { return 0.2 }}
		e := Check(s, []Recording{f.recording(s)}, 0).Show
		if e.Low <= 200*time.Millisecond && 200*time.Millisecond <= e.High && e.High-e.Low < 100*time.Millisecond {
			within++
		}
	}
	if within < 19 {
		t.Errorf("the shift is within a tenth of a second's bounds %d times in 20, want 19", within)
	}
}

// TestJoined: what a recording does not have is taken from the next, and nothing twice.
func TestJoined(t *testing.T) {
	s := square()
	f := fire{offset: 3, late: func(show.Cue) float64 { return 0.15 }}
	all := f.recording(s)
	first, second := all, all
	first.Length = 100 * time.Second
	first.Bangs = slices.DeleteFunc(slices.Clone(all.Bangs), func(b Bang) bool { return b.At > first.Length })
	rep := Check(s, []Recording{first, second}, 0)
	of := [2]int{}
	for _, c := range rep.Cues {
		if c.State == Heard {
			of[c.Recording]++
			if second := c.Due > 0 && c.EffectAt > 97*time.Second; second != (c.Recording == 1) && (c.EffectAt-97*time.Second).Abs() > 3*time.Second {
				t.Errorf("cue %s at %s is taken from recording %d", c.ID, c.EffectAt, c.Recording)
			}
		}
	}
	if of[0]+of[1] < 150 || of[0] < 50 || of[1] < 50 {
		t.Errorf("%d and %d cues were heard of 160", of[0], of[1])
	}
	if late := rep.Show.Late.Round(10 * time.Millisecond); late != 150*time.Millisecond {
		t.Errorf("late by %s, want 0.15 s", late)
	}
}

// metres is how far the positions of a show are that is deeper than the square.
var metres = map[string]float64{"A": 100, "B": 180, "C": 260, "D": 340}

func deep() *show.Show {
	s := square()
	for i, p := range s.Positions {
		s.Positions[i].Distance = metres[p.Name]
	}
	return s
}

// further is how much longer a cue's sound is on its way there than in the square, in
// seconds.
func further(c show.Cue) float64 {
	return math.Hypot(metres[c.Position], map[float64]float64{75: 90, 100: 120}[c.Caliber])/343.2 - ways[c.Caliber]
}

// TestDisagree: a recording of another night is told, one that was taken beside the first,
// or that begins later, is not.
func TestDisagree(t *testing.T) {
	s := deep()
	by := func(late float64) func(show.Cue) float64 {
		return func(c show.Cue) float64 { return late + further(c) }
	}
	first := fire{offset: 3, missed: 0.2, late: by(0.3), seed: 1}.recording(s)
	for _, c := range []struct {
		name string
		fire fire
		want string // of the first verdict
	}{
		{"beside it", fire{offset: 8, missed: 0.3, late: by(0.34), seed: 2}, ""},
		{"its second half", fire{offset: -100, missed: 0.3, late: by(0.3), seed: 3}, ""},
		{"another night", fire{offset: 5, missed: 0.3, late: by(-0.25), seed: 4}, "b.wav disagrees with a.wav: the same bangs are 0.5"},
		{"a rehearsal", fire{offset: 0, sharp: true, late: func(c show.Cue) float64 { return -ways[c.Caliber] }}, "b.wav is the sound of a rehearsal"},
	} {
		second := c.fire.recording(s)
		first.Name, second.Name = "a.wav", "b.wav"
		v := Check(s, []Recording{first, second}, 0).Verdicts[0]
		if told := v.Code == Disagrees || v.Code == OfRehearsal; told != (c.want != "") || !strings.HasPrefix(v.Text, c.want) || told && v.Fact() {
			t.Errorf("%s: %+v, want %q", c.name, v, c.want)
		}
	}
}

// TestStates: a cue that makes no bang, one that nobody can place and one that was not
// recorded are told apart, and none of them is said to have failed.
func TestStates(t *testing.T) {
	s := square()
	s.Positions[3].Distance = 0
	s.Cues[0].Effect, s.Cues[0].Family = "silver fountain", show.FamilyFountain
	rec := fire{offset: 2}.recording(s)
	rec.Length = 150 * time.Second
	rep := Check(s, []Recording{rec}, 0)
	seen := map[CueState]int{}
	for _, c := range rep.Cues {
		seen[c.State]++
		switch {
		case c.ID == s.Cues[0].ID && c.State != Silent:
			t.Errorf("the fountain is %s", c.State)
		case c.Family != show.FamilyFountain && c.Position == "D" && c.State != NotKnown:
			t.Errorf("cue %s of a position that is nowhere is %s", c.ID, c.State)
		case c.Position != "D" && c.EffectAt > 151*time.Second && c.State != NotInside:
			t.Errorf("cue %s at %s, behind the end of the recording, is %s", c.ID, c.EffectAt, c.State)
		}
	}
	var text strings.Builder
	if err := rep.WriteText(&text, true); err != nil || !strings.Contains(text.String(), "no bang due") || strings.Contains(text.String(), "silent") {
		t.Errorf("%v: a fountain has no bang due:\n%s", err, text.String())
	}
	if seen[Heard] < 70 {
		t.Errorf("%v", seen)
	}
	for _, v := range rep.Verdicts {
		if strings.Contains(v.Text, "did not fire") || strings.Contains(v.Text, "misfire") {
			t.Errorf("%q says more than a recording can", v.Text)
		}
	}
}

// TestEchoes: a wall answers to every bang, and a position that fires with the others is
// not heard: it is not late by their echo.
func TestEchoes(t *testing.T) {
	s := square()
	var others []show.Cue
	for _, c := range s.Cues {
		if c.Position != "D" {
			others = append(others, c)
		}
	}
	for i, c := range s.Cues {
		if c.Position == "D" {
			s.Cues[i] = others[(7*i)%len(others)]
			s.Cues[i].ID, s.Cues[i].Position = c.ID, "D"
		}
	}
	whole := fire{offset: 9, missed: 0.2, stray: 0.2}.recording(s)
	rec := fire{offset: 9, missed: 0.2, stray: 0.2}.recording(&show.Show{Cues: others})
	r := rand.New(rand.NewPCG(8, 8))
	for _, b := range slices.Clone(rec.Bangs) {
		rec.Bangs = append(rec.Bangs, Bang{b.At + seconds(0.41+0.003*r.NormFloat64()), 0.7 * b.Rise})
	}
	slices.SortFunc(rec.Bangs, func(a, b Bang) int { return int(a.At - b.At) })
	for name, rec := range map[string]Recording{"with the wall": rec, "without": whole} {
		for _, v := range Check(s, []Recording{rec}, 0).Verdicts {
			if v.Fact() && v.Code != InPlace {
				t.Errorf("%s: %s", name, v.Text)
			}
		}
	}
}

// TestUnlisted: a loud bang far from any cue is told once, with its place in the music.
func TestUnlisted(t *testing.T) {
	s := square()
	s.Cues = slices.DeleteFunc(s.Cues, func(c show.Cue) bool {
		return c.EffectAt > 80*time.Second && c.EffectAt < 100*time.Second
	})
	rec := fire{offset: 10}.recording(s)
	rec.Bangs = append(rec.Bangs, Bang{seconds(102.5), 2.4})
	slices.SortFunc(rec.Bangs, func(a, b Bang) int { return int(a.At - b.At) })
	rep := Check(s, []Recording{rec}, 0)
	if len(rep.Unlisted) != 1 || rep.Unlisted[0].Music != seconds(92.5) {
		t.Errorf("%+v, want one at 92.5 s of the music", rep.Unlisted)
	}
}

// TestRehearsed: the sound of a rehearsal is no fire's, and nothing of it is a fact; what
// was fired is not taken for one, not even where it came with the music by chance.
func TestRehearsed(t *testing.T) {
	s := deep()
	for _, c := range []struct {
		name string
		own  bool
		late func(show.Cue) float64
	}{
		{"a rehearsal", true, func(c show.Cue) float64 { return -ways[c.Caliber] }},
		{"nudged", true, func(c show.Cue) float64 { return 0.3 - ways[c.Caliber] }},
		{"a fire", false, further},
		{"each position early by its way along the ground", false, func(c show.Cue) float64 { return further(c) - metres[c.Position]/343.2 }},
	} {
		rec := fire{offset: 9, missed: 0.2, late: c.late, sharp: c.own}.recording(s)
		rep := Check(s, []Recording{rec}, 0)
		own := len(rep.Verdicts) == 1 && rep.Verdicts[0].Code == OfRehearsal
		if own != c.own {
			t.Errorf("%s: %+v", c.name, rep.Verdicts)
		}
		if own && (rep.Verdicts[0].Fact() || len(rep.Changes()) > 0 || slices.ContainsFunc(rep.Cues, func(c Cue) bool { return c.State == Heard })) {
			t.Errorf("%s: %+v is told, and %+v is to change", c.name, rep.Verdicts, rep.Changes())
		}
	}
}

// TestNoSpeaker: where nobody says from how far the music comes, how late the whole list
// was is no fact, and a position is late beside the rest.
func TestNoSpeaker(t *testing.T) {
	s := square()
	s.Speakers = nil
	rec := fire{offset: 4, late: func(c show.Cue) float64 {
		if c.Position == "B" {
			return 0.6
		}
		return 0.2
	}}.recording(s)
	rep := Check(s, []Recording{rec}, 0)
	var facts []string
	for _, v := range rep.Verdicts {
		if v.Fact() {
			facts = append(facts, v.Text)
		}
	}
	if len(facts) != 1 || !strings.HasPrefix(facts[0], "position B is 0.4") && !strings.HasPrefix(facts[0], "position B is 0.39") || !strings.HasSuffix(facts[0], "late beside the rest") {
		t.Errorf("%q", facts)
	}
	if got := rep.Changes(); len(got) != 1 || got[0].Position != "B" || math.Abs(got[0].Earlier-0.4) > 0.02 {
		t.Errorf("%+v", got)
	}
	const less = "less 3 ms for each metre from the loudspeakers to the microphone; [[speaker]] of show.toml says how far that is"
	if v := rep.Verdicts[1]; !strings.HasPrefix(v.Text, "the rest of the list is 0.2") && !strings.HasPrefix(v.Text, "the rest of the list is 0.19") || !strings.HasSuffix(v.Text, less) || v.Fact() {
		t.Errorf("%q, want a figure that says what it lacks", v.Text)
	}
	early := Report{NoSpeaker: true, Show: Estimate{Late: -300 * time.Millisecond}}
	if v := showVerdict(&early, false); !strings.Contains(v.Text, "0.30 s early, and 3 ms earlier for each metre") {
		t.Errorf("%q", v.Text)
	}
	if f := rep.Figures(); f.ShowLate != nil {
		t.Errorf("late by %f", *f.ShowLate)
	}
}

// TestChanges: what was told puts the cues on the music.
func TestChanges(t *testing.T) {
	told := func(ms int64) Estimate { return Estimate{Late: time.Duration(ms) * time.Millisecond, Told: true} }
	for _, c := range []struct {
		name string
		rep  Report
		want []Change
	}{
		{"nothing told", Report{}, []Change{}},
		{"in place", Report{Show: told(20)}, []Change{}},
		{"late", Report{Show: told(123)}, []Change{{Earlier: 0.12}}},
		{"a position, beside a list in its place", Report{Show: told(20), Positions: []Group{{Name: "C", Estimate: told(312), Apart: true}}}, []Change{{Position: "C", Earlier: 0.31}}},
		{"a position beside a list that is late", Report{Show: told(100), Positions: []Group{{Name: "C", Estimate: told(400), Apart: true}}}, []Change{{Earlier: 0.1}, {Position: "C", Earlier: 0.3}}},
		{"a size", Report{Show: told(0), Sizes: []Group{{Name: "75 mm", Estimate: told(250), Apart: true}}}, []Change{}},
		{"growing", Report{Show: told(50), Rate: Rate{Grows: true, Slope: 1e-3}, middle: 100 * time.Second}, []Change{{Earlier: -0.05, PPM: 1000}}},
	} {
		if got := c.rep.Changes(); !slices.Equal(got, c.want) {
			t.Errorf("%s: %+v, want %+v", c.name, got, c.want)
		}
	}
}

// TestWritten: text, JSON and page tell the same, and the page holds no script.
func TestWritten(t *testing.T) {
	s := square()
	s.Positions[2].Name, s.Title = "C", "<script>"
	f := fire{offset: 12, missed: 0.2, holds: []Hold{{At: 60 * time.Second, Length: 20 * time.Second}}, late: func(c show.Cue) float64 {
		if c.Position == "C" {
			return 0.3
		}
		return 0
	}}
	rec := f.recording(s)
	rep := Check(s, []Recording{rec}, 0)
	var text, html strings.Builder
	if err := rep.WriteText(&text, true); err != nil {
		t.Fatal(err)
	}
	p := Page{Title: s.Title, Report: rep, Recordings: []Recording{rec}, Waves: [][]float32{make([]float32, 2500)}}
	if err := p.WriteHTML(&html); err != nil {
		t.Fatal(err)
	}
	b, err := json.Marshal(rep.Figures())
	if err != nil {
		t.Fatal(err)
	}
	for what, got := range map[string]string{"text": text.String(), "page": html.String(), "JSON": string(b)} {
		for _, want := range []string{"position C is 0.3", "not heard"} {
			if !strings.Contains(got, want) {
				t.Errorf("the %s lacks %q", what, want)
			}
		}
	}
	if !strings.Contains(html.String(), "its music recognised from 0:00 to 3:20, 1 hold") {
		t.Errorf("%+v is told as %q", rec.Pieces, rec.words())
	}
	if !strings.Contains(text.String(), "APART") || strings.Contains(html.String(), "<script") || !strings.Contains(html.String(), `class="held"`) {
		t.Errorf("%s", text.String())
	}
	reftest.Browse(t, html.String())
	if got := reftest.Phone(t, html.String(), 390); got.Width > 390 || len(got.Outside) > 0 || len(got.Broken) > 0 || len(got.Small) > 0 {
		t.Errorf("%+v, want all of it within 390 pixels, whole and legible", got)
	}
}

// TestNamesAreClear: on a telephone, where letters are 20 units high and dots 9, no name
// is written over a dot.
func TestNamesAreClear(t *testing.T) {
	s := square()
	rec := fire{offset: 12}.recording(s)
	var html strings.Builder
	p := Page{Report: Check(s, []Recording{rec}, 0), Recordings: []Recording{rec}, Waves: [][]float32{nil}}
	if err := p.WriteHTML(&html); err != nil {
		t.Fatal(err)
	}
	name, dot := regexp.MustCompile(`<text x="0" y="([0-9.]+)" dy="(-[0-9.]+)">[A-D]<`), regexp.MustCompile(` cy="([0-9.]+)"`)
	names, dots := name.FindAllStringSubmatch(html.String(), -1), dot.FindAllStringSubmatch(html.String(), -1)
	number := func(s string) float64 {
		v, err := strconv.ParseFloat(s, 64)
		if err != nil {
			t.Fatal(err)
		}
		return v
	}
	if len(names) == 0 || len(dots) == 0 {
		t.Fatalf("%d names, %d dots", len(names), len(dots))
	}
	for _, n := range names {
		base := number(n[1]) + number(n[2])
		for _, d := range dots {
			if cy := number(d[1]); cy+4.5 > base-16 && cy-4.5 < base+5 {
				t.Fatalf("a name on %g is over a dot at %g", base, cy)
			}
		}
	}
}
