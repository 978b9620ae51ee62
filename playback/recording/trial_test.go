package recording

import (
	"context"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"drylane/playback"
	"drylane/playback/bangs"
	"drylane/playback/internal/fired"
	"drylane/playback/internal/outdoors"
	"drylane/playback/internal/truth"
	"drylane/playback/locate"
	"drylane/playback/pieces"
	"drylane/playback/resample"
	"drylane/show"
	"drylane/show/hear"
)

// mono reads a sound file at a rate.
func mono(tb testing.TB, path string, rate int) []float64 {
	tb.Helper()
	s, err := playback.OpenFile(path)
	if err != nil {
		tb.Fatal(err)
	}
	defer s.Close()
	r, err := resample.New(s.Rate(), rate)
	if err != nil {
		tb.Fatal(err)
	}
	var out []float64
	in, made := make([][2]float64, 4096), make([][2]float64, 4096)
	for {
		n, ok := s.Stream(in)
		r.Write(in[:n])
		for k := r.Read(made); k > 0; k = r.Read(made) {
			for _, v := range made[:k] {
				out = append(out, (v[0]+v[1])/2)
			}
		}
		if !ok {
			return out
		}
	}
}

// heardOf is what Hear makes of a recording that is at hand.
func heardOf(tb testing.TB, music, tape []float64) Taken {
	tb.Helper()
	b, err := locate.NewBuilder(fired.Rate)
	if err != nil {
		tb.Fatal(err)
	}
	if err := b.Write(outdoors.Stereo(music)); err != nil {
		tb.Fatal(err)
	}
	sound, err := pieces.NewSound(fired.Rate)
	if err != nil {
		tb.Fatal(err)
	}
	sound.Write(outdoors.Stereo(tape))
	sound.Close()
	m := b.Music()
	lie, err := pieces.Find(tb.Context(), m, sound, nil)
	if err != nil {
		tb.Fatal(err)
	}
	found, err := bangs.Find(context.Background(), sound.Reader(), lie.Played(m, sound))
	if err != nil {
		tb.Fatal(err)
	}
	return taken("tape", sound, lie, found)
}

// A plant is what is wrong with a list beside the fire.
type plant struct {
	name     string
	late     time.Duration
	position string
	size     float64
	growth   float64
}

// plants are drawn for a night: the list is changed, not the fire.
func plants(r *rand.Rand) []plant {
	sign := func() float64 { return float64(1 - 2*r.IntN(2)) }
	position := string(rune('A' + r.IntN(6)))
	return []plant{
		{name: "nothing"},
		{name: "whole list", late: time.Duration(sign() * (0.06 + 0.7*r.Float64()) * 1e9)},
		{name: "one position 0.3 s", position: position, late: 300 * time.Millisecond},
		{name: "shells of 75 mm 0.25 s", size: 75, late: time.Duration(sign() * 0.25e9)},
		{name: "growing 0.1 %", growth: sign() * 1e-3},
	}
}

// on is the show whose list has the plant, so that the fire is late beside it.
func (p plant) on(s *show.Show) *show.Show {
	out := *s
	out.Cues = slices.Clone(s.Cues)
	for i, c := range out.Cues {
		by := p.late + time.Duration(p.growth*float64(c.EffectAt))
		if p.position != "" && p.position != c.Position || p.size != 0 && (p.size != c.Caliber || c.Family != show.FamilyShell) {
			continue
		}
		if p.size != 0 {
			out.Cues[i].Prefire -= by // the shells take longer than the list says
		}
		out.Cues[i].EffectAt -= by
	}
	return &out
}

// A tally counts what was told of one plant.
type tally struct {
	nights, told, right, facts, wrong, within, estimates int
}

// judge counts a report: whether the plant is told, and whether every fact is true.
func (t *tally) judge(p plant, rep hear.Report) {
	t.nights++
	whole := p.late.Seconds()
	if p.position != "" || p.size != 0 {
		whole = 0
	}
	if rep.Show.Told && p.growth == 0 {
		t.estimates++
		if math.Abs(rep.Show.Late.Seconds()-whole) <= 0.03 {
			t.within++
		}
	}
	told, false_ := false, false
	for _, v := range rep.Verdicts {
		if !v.Fact() {
			continue
		}
		t.facts++
		good := p.true(v, whole)
		if !good {
			t.wrong++
			false_ = true
		}
		told = told || good && p.is(v)
	}
	if told {
		t.told++
	}
	if !false_ {
		t.right++
	}
}

// is reports whether a verdict tells the plant.
func (p plant) is(v hear.Verdict) bool {
	switch {
	case p.position != "":
		return v.Code == hear.PositionApart
	case p.size != 0:
		return v.Code == hear.SizeApart
	case p.growth != 0:
		return v.Code == hear.Drifts
	}
	return v.Code == hear.InPlace || v.Code == hear.Shifted
}

// true reports whether a fact is so: late by what it says, to 60 ms, for a part, to 30 ms
// for all of it.
func (p plant) true(v hear.Verdict, whole float64) bool {
	near := func(want, by float64) bool { return math.Abs(v.Late.Seconds()-want) <= by }
	switch v.Code {
	case hear.InPlace, hear.Shifted:
		return p.growth != 0 || near(whole, 0.03)
	case hear.PositionApart:
		return v.Position == p.position && near(p.late.Seconds(), 0.06)
	case hear.SizeApart:
		return p.size != 0 && v.Caliber == "75 mm" && near(p.late.Seconds(), 0.06)
	case hear.Drifts:
		return p.growth != 0
	}
	return false // no stretch is apart, and nothing is fired that is not listed
}

// TestTrial prints, for the WAV files of a folder, what recordings of fires to that music
// tell: of pieces that it was tuned with and of those held back, by their names.
// DRYLANE_HEAR_SOUNDS names where packages with recorded bangs and applause are unpacked,
// DRYLANE_HEAR_NIGHTS says how many fires of each piece, DRYLANE_HEAR_HALF takes one half alone.
func TestTrial(t *testing.T) {
	dir := os.Getenv("DRYLANE_HEAR_CORPUS")
	if dir == "" {
		t.Skip("DRYLANE_HEAR_CORPUS is not set to a folder of WAV files")
	}
	paths, err := filepath.Glob(filepath.Join(dir, "*.wav"))
	if err != nil || len(paths) == 0 {
		t.Fatal("found no WAV files in ", dir)
	}
	each := 1
	_, _ = fmt.Sscan(os.Getenv("DRYLANE_HEAR_NIGHTS"), &each)
	for _, half := range []truth.Half{truth.Tuned, truth.HeldBack} {
		if only := os.Getenv("DRYLANE_HEAR_HALF"); only != "" && only != string(half) {
			continue
		}
		tb := newTable()
		tb.applause, tb.breaks = packaged(t)
		for _, path := range paths {
			name := strings.TrimSuffix(filepath.Base(path), ".wav")
			if (truth.Source{Name: name}).Half() != half {
				continue
			}
			music := mono(t, path, fired.Rate)
			for k := range each {
				tb.night(t, name, music[:min(len(music), 140*fired.Rate)], k)
			}
		}
		tb.print(t, half)
	}
}

// packaged are recordings of applause and of explosions out of Debian's packages
// frozen-bubble-data and warmux-data, unpacked under DRYLANE_HEAR_SOUNDS; none without.
func packaged(t *testing.T) (applause []float64, breaks [][]float64) {
	root := os.Getenv("DRYLANE_HEAR_SOUNDS")
	if root == "" {
		return nil, nil
	}
	applause = mono(t, filepath.Join(root, "usr/share/games/frozen-bubble/snd/applause.ogg"), fired.Rate)
	paths, _ := filepath.Glob(filepath.Join(root, "usr/share/games/warmux/sound/default/weapons/explosion*.ogg"))
	for _, path := range paths {
		breaks = append(breaks, mono(t, path, fired.Rate))
	}
	if len(breaks) == 0 {
		t.Fatal("found no explosions of the package warmux-data under ", root)
	}
	return applause, breaks
}

// A table is what came of a half.
type table struct {
	names                []string
	plants               map[string]*tally
	nights, offset, rate int
	holds, found, length int
	offsetOff, rateOff   []float64
	worst                []string
	applause             []float64
	breaks               [][]float64
}

func newTable() *table { return &table{plants: map[string]*tally{}} }

// night has a show fired and recorded, and judges what is told of it with each plant.
func (tb *table) night(t *testing.T, name string, music []float64, k int) {
	r := rand.New(rand.NewPCG(uint64(len(name))<<32+uint64(k), uint64(len(music))))
	length := time.Duration(len(music)) * time.Second / fired.Rate
	s := fired.Show(r, music, int(0.55*length.Seconds())+r.IntN(int(0.7*length.Seconds())))
	plan := fired.Usual(r)
	plan.Holds, plan.Applause, plan.Breaks = 3, tb.applause, tb.breaks
	n := fired.New(r, s, length, plan)
	got := heardOf(t, music, n.Record(music))
	tb.lies(n, got, name)
	fmt.Fprintf(os.Stderr, "%s\n", name)
	for _, p := range plants(r) {
		if tb.plants[p.name] == nil {
			tb.names, tb.plants[p.name] = append(tb.names, p.name), &tally{}
		}
		rep := hear.Check(p.on(s), []hear.Recording{got.Recording}, 0)
		before := tb.plants[p.name].wrong
		tb.plants[p.name].judge(p, rep)
		if tb.plants[p.name].wrong > before {
			for _, v := range rep.Verdicts {
				tb.worst = append(tb.worst, fmt.Sprintf("%s, %s %v %s: %s", name, p.name, p.late, p.position, v.Text))
			}
		}
	}
}

// lies judges where the recording was found to lie.
func (tb *table) lies(n *fired.Night, got Taken, name string) {
	tb.nights++
	off, ppm := math.Abs(got.Lie.Offset-n.Offset), math.Abs(got.Lie.PPM-n.PPM)
	tb.offsetOff, tb.rateOff = append(tb.offsetOff, 1000*off), append(tb.rateOff, ppm)
	if off < 0.005 {
		tb.offset++
	}
	if ppm <= 2 {
		tb.rate++
	}
	line := fmt.Sprintf("%s: offset %+.1f ms, rate %+.2f ppm, found", name, 1000*(got.Lie.Offset-n.Offset), got.Lie.PPM-n.PPM)
	bad := off >= 0.005 || ppm > 2
	for _, h := range n.Holds {
		if h.At.Seconds()+h.Length.Seconds() < -n.Offset {
			continue // over before the recorder was started
		}
		tb.holds++
		for _, g := range got.Holds() {
			if (g.At - h.At).Abs() < 3*time.Second {
				tb.found++
				if (g.Length - h.Length).Abs() <= 50*time.Millisecond {
					tb.length++
				} else {
					bad = true
				}
			}
		}
	}
	for _, g := range got.Holds() {
		line += fmt.Sprintf(" %.1f/%.3f", g.At.Seconds(), g.Length.Seconds())
	}
	for _, h := range n.Holds {
		line += fmt.Sprintf(" was %.1f/%.3f", h.At.Seconds(), h.Length.Seconds())
	}
	if bad || len(got.Holds()) != len(n.Holds) {
		tb.worst = append(tb.worst, line)
	}
}

func (tb *table) print(t *testing.T, half truth.Half) {
	slices.Sort(tb.offsetOff)
	slices.Sort(tb.rateOff)
	if tb.nights == 0 {
		return
	}
	at := func(x []float64, part float64) float64 { return x[int(part*float64(len(x)-1))] }
	w := t.Output()
	fmt.Fprintf(w, "\n%s: %d nights with 3 holds each\n", half, tb.nights)
	fmt.Fprintf(w, "offset under 5 ms %d, p50 %.2f p95 %.2f ms; rate within 2 ppm %d, p50 %.2f p95 %.2f ppm\n",
		tb.offset, at(tb.offsetOff, 0.5), at(tb.offsetOff, 0.95), tb.rate, at(tb.rateOff, 0.5), at(tb.rateOff, 0.95))
	fmt.Fprintf(w, "holds %d, found %d, length within 50 ms %d\n", tb.holds, tb.found, tb.length)
	fmt.Fprintf(w, "%-24s %6s %6s %12s %6s %6s %18s\n", "planted", "nights", "told", "nothing false", "facts", "wrong", "show within 30 ms")
	for _, name := range tb.names {
		y := tb.plants[name]
		fmt.Fprintf(w, "%-24s %6d %6d %12d %6d %6d %9d of %d\n", name, y.nights, y.told, y.right, y.facts, y.wrong, y.within, y.estimates)
	}
	if half == truth.Tuned {
		for _, line := range tb.worst {
			fmt.Fprintln(w, line)
		}
	}
}
