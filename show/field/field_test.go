package field

import (
	"fmt"
	"math"
	"strings"
	"testing"
	"time"

	"drylane/show"

	"pgregory.net/rapid"
)

// TestSpeedOfSound holds the formula against values of ISO 9613-1 worked out
// by hand, and against handbook figures (standard atmosphere 340.3 m/s at
// 15 °C; 331.3 m/s at 0 °C; 1124.1 ft/s at 20 °C), which differ by up to 0.3 %.
func TestSpeedOfSound(t *testing.T) {
	for _, c := range []struct{ celsius, want, tolerance float64 }{
		{-10, 325.165, 0.01}, {0, 331.286, 0.01}, {10, 337.296, 0.01}, {15, 340.261, 0.01},
		{20, 343.200, 0.01}, {25, 346.114, 0.01}, {30, 349.005, 0.01},
		{15, 340.3, 340.3 * 0.003}, {0, 331.3, 331.3 * 0.003}, {20, 1124.1 * 0.3048, 343 * 0.003},
	} {
		if got := SpeedOfSound(c.celsius); math.Abs(got-c.want) > c.tolerance {
			t.Errorf("%g °C: %.3f m/s, want %.3f", c.celsius, got, c.want)
		}
	}
}

// TestTravel: delays for 100 m and for 100 ft from the same tables.
func TestTravel(t *testing.T) {
	for _, c := range []struct {
		metres, celsius float64
		want            time.Duration
	}{
		{100, 0, 301850 * time.Microsecond}, {100, 20, 291380 * time.Microsecond}, {30.48, 20, 88810 * time.Microsecond},
		{30.48, 0, 92010 * time.Microsecond}, {0, 20, 0},
	} {
		if got := Travel(c.metres, c.celsius); (got - c.want).Abs() > 10*time.Microsecond {
			t.Errorf("%g m at %g °C: %s, want %s", c.metres, c.celsius, got, c.want)
		}
	}
}

// TestGraded: the thresholds of ITU-R BT.1359-1 (1998): detectability +45 and
// -125 ms, acceptability +90 and -185 ms, positive for sound early.
func TestGraded(t *testing.T) {
	for ms, want := range map[int]Grade{
		0: Unnoticed, 125: Unnoticed, -45: Unnoticed, 126: Noticed, -46: Noticed,
		185: Noticed, -90: Noticed, 186: Disturbing, -91: Disturbing, 5000: Disturbing,
	} {
		if got := Graded(time.Duration(ms) * time.Millisecond); got != want {
			t.Errorf("sound %d ms late: %s, want %s", ms, got, want)
		}
	}
}

// TestApex holds the flight against the worked table of the drag equation,
// which a direct numerical integration confirmed: rho 1.225, Cd 0.49.
func TestApex(t *testing.T) {
	for _, c := range []struct{ diameter, mass, speed, terminal, seconds, metres float64 }{
		{0.070, 0.090, 80, 27.64, 3.490, 87.2}, {0.070, 0.090, 100, 27.64, 3.668, 103.1}, {0.070, 0.090, 120, 27.64, 3.790, 116.4},
		{0.142, 1.100, 80, 47.64, 5.022, 155.1}, {0.142, 1.100, 100, 47.64, 5.471, 195.3}, {0.142, 1.100, 120, 47.64, 5.795, 230.7},
	} {
		vt := terminal(c.diameter, c.mass)
		s, m := apex(c.speed, vt)
		if math.Abs(vt/c.terminal-1) > 0.001 || math.Abs(s/c.seconds-1) > 0.001 || math.Abs(m/c.metres-1) > 0.001 {
			t.Errorf("%+v: terminal %.2f, %.3f s, %.1f m", c, vt, s, m)
		}
	}
}

// TestFlight: the times from lift to break that are told of shells of 3 to
// 12 in (general lore, from memory) are plausible; slips of the pen are not.
func TestFlight(t *testing.T) {
	for caliber, s := range map[float64]float64{75: 3, 100: 3.5, 125: 4, 150: 4.5, 200: 5.5, 250: 6, 300: 7} {
		from, to, ok := Flight(caliber)
		told := time.Duration(s * float64(time.Second))
		if !ok || told < from || told > to {
			t.Errorf("%g mm: %s to %s, and %s is told of them", caliber, from, to, told)
		}
		if told*10 < to || told/10 > from {
			t.Errorf("%g mm: %s to %s would let a wrong unit pass", caliber, from, to)
		}
	}
	for _, caliber := range []float64{0, 20, 39, 621, 1300, math.NaN(), math.Inf(1)} {
		if from, to, ok := Flight(caliber); ok {
			t.Errorf("%g mm: %s to %s, want nothing", caliber, from, to)
		}
	}
	rapid.Check(t, func(t *rapid.T) {
		c := rapid.Float64Range(smallest, largest-1).Draw(t, "caliber")
		from, to, _ := Flight(c)
		from2, to2, _ := Flight(c + 1)
		if from <= 0 || to <= from || from2 < from || to2 < to {
			t.Fatalf("%g mm: %s to %s; 1 mm more: %s to %s", c, from, to, from2, to2)
		}
	})
}

func TestPrefireRange(t *testing.T) {
	for _, c := range []struct {
		cue  show.Cue
		want bool
	}{
		{show.Cue{Family: show.FamilyShell, Caliber: 75}, true},
		{show.Cue{Family: show.FamilyShell}, false},
		{show.Cue{Effect: "mine", Family: show.FamilyMine, Caliber: 75}, false},
		{show.Cue{Effect: "waterfall", Family: show.FamilyFountain, Caliber: 75}, true},
		{show.Cue{Effect: "waterfall", Family: show.FamilyFountain, Caliber: 45}, false},
		{show.Cue{Effect: "zorbel", Caliber: 50}, true},
		{show.Cue{Family: show.FamilySalute, Caliber: 75}, false},
		{show.Cue{Family: show.FamilySalute, Caliber: 75, Prefire: 3 * time.Second}, true},
	} {
		if _, _, ok := PrefireRange(c.cue); ok != c.want {
			t.Errorf("%+v: known %v, want %v", c.cue, ok, c.want)
		}
	}
}

// TestSeparationOf: 70 ft for each inch (NFPA 1123, seen second hand): 210,
// 280, 420 and 560 ft for 3, 4, 6 and 8 in. Sizes in millimetres are the nominal
// ones, and stand for the same inches. Break heights go by 100 ft for each inch.
func TestSeparationOf(t *testing.T) {
	for _, c := range []struct{ metres, mm, inch float64 }{
		{64.0, 75, 3}, {85.3, 100, 4}, {106.7, 125, 5}, {128.0, 150, 6}, {170.7, 200, 8}, {256.0, 300, 12},
		{42.7, 50, 2}, {64.0, 65, 3}, {85.3, 77, 4},
	} {
		if got := SeparationOf(c.mm); got != c.metres {
			t.Errorf("%g mm: %.1f m, want %.1f", c.mm, got, c.metres)
		}
		if got := SeparationOf(c.inch * 25.4); got != c.metres {
			t.Errorf("%g in: %.1f m, want %.1f", c.inch, got, c.metres)
		}
	}
	// 102 mm are 4 in, rounded up by who wrote the list: not 5 in, and no less
	// than 102 mm.
	if got := SeparationOf(102); got != 85.7 {
		t.Errorf("102 mm: %.1f m, want 85.7", got)
	}
	rapid.Check(t, func(t *rapid.T) {
		mm := rapid.Float64Range(1, 1300).Draw(t, "mm")
		more := mm + rapid.Float64Range(0, 100).Draw(t, "more")
		got := SeparationOf(mm)
		if exact := 70 * 0.3048 * mm / 25.4; got < exact-0.05 || got > SeparationOf(more) {
			t.Fatalf("%g mm: %g m; %g m to the millimetre, and %g m for %g mm", mm, got, exact, SeparationOf(more), more)
		}
	})
	if got := BreakHeight(76.2); math.Abs(got-91.44) > 0.01 {
		t.Errorf("a 3 in shell breaks at %.2f m, want 300 ft, 91.44 m", got)
	}
}

// TestGaps: each family that the rules say nothing of has one line, and what
// cannot be told comes last.
func TestGaps(t *testing.T) {
	s := &show.Show{}
	for i, effect := range []string{"zorbel", "cake", "mine", "silver mine", "comet", "candle", "single shot", "fountain", "flame", "shell", "salute"} {
		s.Cues = append(s.Cues, show.Cue{ID: effect, Effect: effect, Family: show.FamilyOf(effect), Line: 2 + i})
	}
	s.Cues[9].Caliber, s.Cues[9].Prefire = 75, 3*time.Second // all is known of it
	s.Cues = append(s.Cues, show.Cue{ID: "big", Effect: "peony", Family: show.FamilyShell, Caliber: 700, Line: 20})
	var got []string
	for _, g := range Gaps(s) {
		got = append(got, fmt.Sprint(g.Family, " ", g.Cues, " ", g.First.ID))
	}
	want := "shell 1 big, salute 1 salute, comet 1 comet, mine 2 mine, candle 1 candle, cake 1 cake, fountain 1 fountain, flame 1 flame, single shot 1 single shot, not classed 1 zorbel"
	if list := strings.Join(got, ", "); list != want {
		t.Errorf("%s\nwant %s", list, want)
	}
}

// TestTooClose: what stays on a screen names the positions while they are few.
func TestTooClose(t *testing.T) {
	s := &show.Show{}
	for i, want := range []string{"", "TOO CLOSE at A", "TOO CLOSE at A, B", "TOO CLOSE at 3 positions"} {
		if got := TooClose(s); got != want {
			t.Errorf("%d positions: %q, want %q", i, got, want)
		}
		name := string(rune('A' + i))
		s.Positions = append(s.Positions, show.Position{Name: name, Distance: 10})
		s.Cues = append(s.Cues, show.Cue{ID: "1", Position: name, Family: show.FamilyShell, Caliber: 75})
		s.Decided = append(s.Decided, show.Decision{Finding: show.DecideSeparation, Position: name})
	}
}

// square is a field that is easy to work out: 20 °C, so 343.2 m a second.
func square() *show.Show {
	return &show.Show{
		Title:     "Square",
		Air:       show.Air{TemperatureC: 20},
		Positions: []show.Position{{Name: "Ahead", Distance: 343.2}, {Name: "Right", Distance: 171.6, Bearing: 90}, {Name: "Nowhere"}},
		Speakers:  []show.Speaker{{Name: "far", Distance: 68.64}, {Name: "near", Distance: 34.32, Delay: 50 * time.Millisecond}},
		Audiences: []show.Audience{{Name: "terrace", Distance: 171.6, Bearing: -90}},
		Cues: []show.Cue{
			{ID: "1", Position: "Ahead", Family: show.FamilyShell, Caliber: 254},
			{ID: "2", Position: "Right", Family: show.FamilyShell, Caliber: 300},
			{ID: "3", Position: "Right", Effect: "mine", Family: show.FamilyMine, Caliber: 400},
		},
	}
}

func TestOf(t *testing.T) {
	f := Of(square())
	main, terrace := f.Audiences[0], f.Audiences[1]
	ms := func(n float64) time.Duration { return time.Duration(n * 1e6) }
	for _, c := range []struct {
		what string
		got  time.Duration
		want time.Duration
	}{
		{"music at the main audience, of near: 100 ms and its delay", main.Music, ms(150)},
		{"bang of Ahead", main.Paths[0].Bang, ms(1000)},
		{"bang of Right", main.Paths[1].Bang, ms(500)},
		{"break of Ahead, 304.8 m up", main.Paths[0].High, ms(1000 * math.Hypot(343.2, 304.8) / 343.2)},
		// Ahead breaks 304.8 m up and Right 360 m up; Right's mine is on the ground.
		{"Ahead after the music, from its break", main.Paths[0].First, ms(1187.439)},
		{"the last of Ahead", main.Paths[0].Last, ms(1187.439)},
		{"Right after the music, its mine", main.Paths[1].First, ms(350)},
		{"the last of Right, from its break", main.Paths[1].Last, ms(1012.023)},
		{"Ahead at the terrace", terrace.Paths[0].Bang, ms(1000 * math.Sqrt(1.25))},
		{"Right at the terrace", terrace.Paths[1].Bang, ms(1000)},
		{"shift by eye", f.Shift.Seen, ms(150)},
		{"nudge", f.Shift.Nudge, ms(-100)},
		{"left by the nudge", f.Shift.Over, ms(50)},
		{"shift by ear", f.Shift.Heard, ms(768.719)},
		{"spread", f.Shift.Spread, ms(418.719)},
		{"left at the main audience", main.Left, 0},
		{"left at the terrace", terrace.Left, terrace.Music - ms(150)},
	} {
		if (c.got - c.want).Abs() > time.Microsecond {
			t.Errorf("%s: %s, want %s", c.what, c.got, c.want)
		}
	}
	if main.Speaker != "near" || len(f.Unplaced) != 1 || f.Unplaced[0] != "Nowhere" {
		t.Errorf("speaker %q, unplaced %v", main.Speaker, f.Unplaced)
	}
	// Right stands 171.6 m from the main audience and twice that from the
	// terrace; 300 mm ask for 12 in, 256 m. Mines count for nothing here.
	if s := f.Separations; len(s) != 2 || s[0].Short() || !s[1].Short() || s[1].Audience != MainAudience || math.Abs(s[1].Rule-256) > 0.01 {
		t.Errorf("separations %+v", s)
	}
}

// TestByEar: what is silent does not count, and a shell is heard from its break.
func TestByEar(t *testing.T) {
	s := square()
	s.Speakers = nil
	fountain := show.Cue{ID: "4", Position: "Right", Effect: "silver fountain", Family: show.FamilyFountain}
	s.Cues = []show.Cue{s.Cues[0], fountain, {ID: "5", Position: "Right", Effect: "shell", Family: show.FamilyShell}, {ID: "6", Position: "Nowhere", Effect: "mine", Family: show.FamilyMine}}
	f := Of(s)
	if want := 1337439 * time.Microsecond; (f.Shift.Heard-want).Abs() > 100*time.Microsecond || f.Shift.Spread != 0 {
		t.Errorf("by ear %s within %s, want %s, of the one shell", f.Shift.Heard, f.Shift.Spread, want)
	}
	if right := f.Audiences[0].Paths[1]; right.Heard || right.AgainstMusic() != "silent" {
		t.Errorf("a fountain is heard: %+v", right)
	}
	if got, want := f.Shift.Ear.Words(), "reckoned for 1 cue: 1 heard from the break, 0 from the ground; left out 1 silent and 1 of unknown height"; got != want {
		t.Errorf("%q, want %q", got, want)
	}
	s.Cues = []show.Cue{fountain}
	if f = Of(s); f.Shift.Heard != 0 || !strings.Contains(strings.Join(f.ShiftWords(), "\n"), "by ear: nothing to go by, reckoned for 0 cues") {
		t.Errorf("of a fountain alone: %q", f.ShiftWords())
	}
}

// TestEar: which effects are heard, and from where.
func TestEar(t *testing.T) {
	for _, c := range []struct {
		cue  show.Cue
		want Ear
		high float64
	}{
		{show.Cue{Effect: "peony shell", Caliber: 76.2}, Ear{High: 1}, 91.44},
		{show.Cue{Effect: "silver waterfall", Caliber: 76.2}, Ear{High: 1}, 91.44},
		{show.Cue{Effect: "salute", Caliber: 76.2, Prefire: 3 * time.Second}, Ear{High: 1}, 91.44},
		{show.Cue{Effect: "salute", Caliber: 76.2}, Ear{Ground: 1}, 0},
		{show.Cue{Effect: "salute", Prefire: 3 * time.Second}, Ear{Unknown: 1}, 0},
		{show.Cue{Effect: "mine", Caliber: 75}, Ear{Ground: 1}, 0},
		{show.Cue{Effect: "cake"}, Ear{Ground: 1}, 0},
		{show.Cue{Effect: "candle"}, Ear{Ground: 1}, 0},
		{show.Cue{Effect: "single shot"}, Ear{Ground: 1}, 0},
		{show.Cue{Effect: "gold fountain"}, Ear{Silent: 1}, 0},
		{show.Cue{Effect: "flame"}, Ear{Silent: 1}, 0},
		{show.Cue{Effect: "comet"}, Ear{Silent: 1}, 0},
		{show.Cue{Effect: "zorbel"}, Ear{Unknown: 1}, 0},
	} {
		c.cue.Family = show.FamilyOf(c.cue.Effect)
		var got Ear
		var at source
		got.count(c.cue, &at)
		if got != c.want || math.Abs(at.highest-c.high) > 0.01 || at.heard != (got.High+got.Ground > 0) {
			t.Errorf("%q: %+v heard from %+v, want %+v from %g m", c.cue.Effect, got, at, c.want, c.high)
		}
	}
}

// TestNudgeFor: sound may be 125 ms late and not 46 ms early (BT.1359).
func TestNudgeFor(t *testing.T) {
	for _, c := range []struct{ late, nudge, over int }{
		{0, 0, 0}, {49, 0, 49}, {54, 0, 54}, {55, -100, -45}, {100, -100, 0}, {118, -100, 18}, {150, -100, 50}, {160, -200, -40}, {260, -300, -40},
	} {
		ms := func(n int) time.Duration { return time.Duration(n) * time.Millisecond }
		if nudge, over := nudgeFor(ms(c.late)); nudge != ms(c.nudge) || over != ms(c.over) {
			t.Errorf("%d ms late: nudge %s leaves %s, want %d leaving %d", c.late, nudge, over, c.nudge, c.over)
		}
	}
}

func TestWithoutSpeakersOrPositions(t *testing.T) {
	f := Of(&show.Show{Title: "Bare"})
	if f.Shift != (Shift{}) || f.Audiences[0].Music != 0 {
		t.Errorf("%+v", f)
	}
	if notes := strings.Join(f.Notes(), "\n"); !strings.Contains(notes, "no [[speaker]]") || !strings.Contains(notes, "[[audience]]") {
		t.Errorf("notes: %s", notes)
	}
}

// TestTurned: turning the whole field about the main audience changes no time.
func TestTurned(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := square()
		turn := rapid.Float64Range(-180, 180).Draw(t, "degrees")
		a := Of(s)
		for i := range s.Positions {
			s.Positions[i].Bearing += turn
		}
		for i := range s.Speakers {
			s.Speakers[i].Bearing += turn
		}
		for i := range s.Audiences {
			s.Audiences[i].Bearing += turn
		}
		b := Of(s)
		for i := range a.Audiences {
			if (a.Audiences[i].Music - b.Audiences[i].Music).Abs() > time.Microsecond {
				t.Fatalf("music at %s: %s, turned %s", a.Audiences[i].Name, a.Audiences[i].Music, b.Audiences[i].Music)
			}
			for j, p := range a.Audiences[i].Paths {
				if q := b.Audiences[i].Paths[j]; (p.Bang - q.Bang).Abs() > time.Microsecond {
					t.Fatalf("%s at %s: %s, turned %s", p.Position, a.Audiences[i].Name, p.Bang, q.Bang)
				}
			}
		}
	})
}
