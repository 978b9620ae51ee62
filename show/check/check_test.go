package check

import (
	"encoding/json"
	"fmt"
	"slices"
	"strings"
	"testing"
	"time"
	"unicode"

	"drylane/show"
	"drylane/show/lock"
)

const s = time.Second

// good are the facts of a show that nothing is to be said of.
func good() *Facts {
	sh := &show.Show{
		Title: "Good", CuesFile: "cues.csv",
		Soundtrack: show.Soundtrack{File: "music.wav", SHA256: "aa"},
		Witness:    &show.Witness{At: 5 * s, Cue: "w"},
		Positions:  []show.Position{{Name: "A", Distance: 200}},
		Modules:    []show.Module{{Name: "M1"}},
		Players:    []show.Player{{Name: "desk", File: "music.wav"}},
		Tracks:     []show.Track{{File: "code.wav"}},
		Cues: []show.Cue{
			{ID: "w", EffectAt: 5 * s, Prefire: 2 * s, Burn: s / 5, Position: "A", Module: "M1", Pin: 1, Effect: "salute", Family: show.FamilySalute, Caliber: 50, Line: 2},
			{ID: "1", EffectAt: 10 * s, Prefire: 3 * s, Burn: 2 * s, Position: "A", Module: "M1", Pin: 2, Effect: "shell", Family: show.FamilyShell, Caliber: 75, Line: 3},
		},
		FieldDevices: 2,
	}
	return &Facts{
		Show:       sh,
		Music:      Audio{File: "music.wav", SHA256: "aa", Rate: 48000, Channels: 2, Length: 60 * s, Level: &Level{Correlation: 0.5}},
		Companions: []Audio{{File: "code.wav", Rate: 48000, Channels: 2, Length: 60 * s}},
		Tone:       &Tone{Found: true, At: 5 * s, Hz: 1000},
		Lock:       Lock{Known: true, Lock: &lock.Lock{}},
	}
}

func TestNothingToSay(t *testing.T) {
	if got := Run(good()); len(got) != 0 {
		t.Errorf("findings of a good show:\n%s", lines(got))
	}
	if got := Run(&Facts{Show: &show.Show{}}); len(got) != 0 {
		t.Errorf("findings of nothing:\n%s", lines(got))
	}
}

func lines(fs Findings) string {
	var b strings.Builder
	for _, f := range fs {
		fmt.Fprintf(&b, "%s %s\n", f.Code, f)
	}
	return b.String()
}

func TestRules(t *testing.T) {
	for _, c := range []struct {
		name  string
		spoil func(f *Facts)
		want  []string // severity, code, and a piece of the line, with one space between
	}{
		{"missing", func(f *Facts) { f.Music = Audio{File: "music.wav", Missing: true, Open: "x"} },
			[]string{"stop soundtrack-missing music.wav: there is no such file"}},
		{"unreadable", func(f *Facts) { f.Music = Audio{File: "music.wav", SHA256: "aa", Open: "music.wav is a PNG picture"} },
			[]string{"stop soundtrack-open is a PNG picture"}},
		{"changed", func(f *Facts) { f.Music.SHA256 = "bb" }, []string{"stop soundtrack-changed not the file that show.toml was written for"}},
		{"not pinned", func(f *Facts) { f.Show.Soundtrack.SHA256 = "" }, []string{`note unpinned sha256 = "aa"`}},
		{"cut", func(f *Facts) { f.Music.Cut = "cut off after 0:30" }, []string{"stop soundtrack-cut cut off after 0:30"}},
		{"no length", func(f *Facts) { f.Music.Unstated = "does not state its length" }, []string{"note soundtrack-cut does not state"}},
		{"shorter than the last ignition", func(f *Facts) { f.Music.Length, f.Companions[0].Length = 6*s, 6*s },
			[]string{`stop late cues.csv:3: found the ignition of cue "1" at 0:07.000`}},
		{"shorter than the last effect", func(f *Facts) { f.Music.Length, f.Companions[0].Length = 8*s, 8*s },
			[]string{`warn late cues.csv:3: found the effect of cue "1" at 0:10.000`}},
		{"start", func(f *Facts) { f.Music.StartUncertain = 26300 * time.Microsecond }, []string{"warn start-uncertain start uncertain by up to 26 ms"}},
		{"odd", func(f *Facts) { f.Music.Odd = "its sound starts too soon" }, []string{"warn soundtrack-odd its sound starts too soon"}},
		{"odd companion", func(f *Facts) { f.Companions[0].Odd = "its sound starts too soon" }, []string{"warn soundtrack-odd code.wav"}},
		{"clipping", func(f *Facts) { f.Music.Level.Clips, f.Music.Level.LongestClip, f.Music.Level.FirstClip = 3, 12, 7*s },
			[]string{"warn clipping in 3 places, the first at 0:07.000, the longest of 12 samples"}},
		{"altered", func(f *Facts) { f.Music.Level.Altered = "its sound is not what it was made from" }, []string{"warn soundtrack-altered its sound is not"}},
		{"damage", func(f *Facts) { f.Music.Level.Damaged = 1 }, []string{"warn soundtrack-damage 1 place cannot be decoded and is silent"}},
		{"clipped in decoding", func(f *Facts) {
			f.Music.Level.Clips, f.Music.Level.LongestClip, f.Music.Level.FirstClip, f.Music.Level.AtLeast = 3, 12, 7*s, true
		}, []string{"warn clipping reaches full scale in 3 places, the first at 0:07.000, the longest of 12 samples: what it has above is cut off"}},
		{"one side", func(f *Facts) { f.Music.Level.Silent[1] = true; f.Music.Level.Correlation = 0 }, []string{"warn silent-channel right channel is silent"}},
		{"both sides", func(f *Facts) { f.Music.Level.Silent = [2]bool{true, true} }, []string{"stop silent-channel no sound"}},
		{"mono", func(f *Facts) { f.Music.Channels = 1; f.Music.Level.Silent[0] = true }, []string{"stop silent-channel no sound"}},
		{"polarity", func(f *Facts) { f.Music.Level.Correlation = -0.97 }, []string{"warn polarity correlation -0.97"}},
		// One side reversed, and under it noise of its own on either side, as loud in
		// power as 3/5 of the music: of 1.6 only 1 is shared, so that the sides correlate
		// by -1/1.6 = -0.62, where they should by +0.62.
		{"polarity under noise", func(f *Facts) { f.Music.Level.Correlation = -0.62 }, []string{"warn polarity correlation -0.62"}},
		{"wide stereo", func(f *Facts) { f.Music.Level.Correlation = -0.2 }, nil},
		{"rate", func(f *Facts) { f.Companions[0].Rate = 44100 }, []string{"warn rate code.wav: it runs at 44100 Hz and the soundtrack at 48000 Hz"}},
		{"no companion", func(f *Facts) { f.Companions[0] = Audio{File: "code.wav", Missing: true, Open: "x"} }, []string{"warn companion-missing code.wav: show.toml names it and it is not in the show folder; make it from the master"}},
		{"no companion to be made", func(f *Facts) {
			f.Companions[0], f.Show.Tracks[0].Right = Audio{File: "code.wav", Missing: true, Open: "x"}, "pips"
		}, []string{"warn companion-missing make it: drylane tracks DIR --to DIR"}},
		{"broken companion", func(f *Facts) { f.Companions[0] = Audio{File: "code.wav", Open: "is empty"} }, []string{"warn companion-open is empty"}},
		{"short companion", func(f *Facts) { f.Companions[0].Length = 59 * s }, []string{"warn companion-length lasts 0:59.000, 1.000 s shorter"}},
		{"long companion", func(f *Facts) { f.Companions[0].Length = 61 * s }, []string{"warn companion-length 1.000 s longer"}},
		{"companion with padding", func(f *Facts) { f.Companions[0].Length += 51 * time.Millisecond }, nil},
		{"no witness", func(f *Facts) { f.Show.Witness = nil }, []string{"note witness-none"}},
		{"no tone", func(f *Facts) { f.Tone = &Tone{} }, []string{"warn witness-tone no tone stands out within 500 ms of the witness at 0:05.000"}},
		{"late tone", func(f *Facts) { f.Tone.At += 150 * time.Millisecond }, []string{`warn witness-tone begins at 0:05.150, 150 ms after its time in show.toml; set witness.at = "0:05.150"`}},
		{"early tone", func(f *Facts) { f.Tone.At -= 150 * time.Millisecond }, []string{"warn witness-tone 150 ms before"}},
		{"near tone", func(f *Facts) { f.Tone.At -= 90 * time.Millisecond }, nil},
		{"show too soon", func(f *Facts) { f.Show.Cues[1].EffectAt = 9900 * time.Millisecond }, []string{`warn witness-soon cues.csv:3: cue "1" comes at 0:09.900, 4.9 s after the witness`}},
		{"fired too soon", func(f *Facts) { f.Show.Cues[1].Prefire = 5 * s }, []string{`warn witness-soon cue "1" is fired at 0:05.000, before the witness sounds`}},
		{"devices", func(f *Facts) { f.Show.FieldDevices = 3 }, []string{"warn devices 3 devices expected, and 1 module with cues and 1 player make 2"}},
		{"idle module", func(f *Facts) { f.Show.Modules = append(f.Show.Modules, show.Module{Name: "M2"}) }, []string{`note device-idle no cue is on module "M2"`}},
		{"weak link", func(f *Facts) {
			f.Show.Radio = &show.Radio{MHz: 868, PowerDBm: 0, ReceiverDBm: -90, ConsoleHeight: 1, FieldHeight: 0.1, ShadowDB: 8}
		}, []string{"warn radio position A: -22.0 dB over the receiver's limit at 200 m (the way takes 112.0 dB), nearly all packets lost: WEAK"}},
		{"good link", func(f *Facts) {
			f.Show.Radio = &show.Radio{MHz: 868, PowerDBm: 14, ReceiverDBm: -110, ConsoleHeight: 2, FieldHeight: 1, ShadowDB: 8}
		}, []string{"note radio position A: the weakest link: 38.0 dB over"}},
		{"battery", func(f *Facts) {
			f.Show.Battery = &show.Battery{Chemistry: "lead", CapacityAh: 7, Health: 1, IdleA: 0.1, OnSite: 10 * time.Hour}
		}, []string{"note battery show.toml: 4.95 Ah to spare: 5.95 Ah at 0 °C"}},
		{"battery too small", func(f *Facts) {
			f.Show.Battery = &show.Battery{Chemistry: "lead", CapacityAh: 1, Health: 1, IdleA: 0.1, OnSite: 10 * time.Hour}
		}, []string{"warn battery show.toml: 0.15 Ah SHORT: 0.85 Ah at 0 °C"}},
		{"no distance", func(f *Facts) { f.Show.Positions[0].Distance = 0 }, []string{`note distance no distance_m is given for position "A"`}},
		{"prefire in ms", func(f *Facts) { f.Show.Cues[1].Prefire = 3 * time.Millisecond }, []string{"stop prefire cues.csv:3: 1 cue with a 75 mm shell and a prefire of 0.003 s"}},
		{"prefire too long", func(f *Facts) { f.Show.Cues[1].Prefire, f.Show.Cues[1].EffectAt = 9*s, 20*s }, []string{"warn prefire 1 cue with a 75 mm shell and a prefire of 9.000 s"}},
		{"no burn time", func(f *Facts) {
			for id, burn := range [...]time.Duration{0, 40 * s, 0} {
				f.Show.Cues = append(f.Show.Cues, show.Cue{ID: fmt.Sprint(id + 2), EffectAt: 20 * s, Burn: burn, Position: "A", Effect: "100 shot cake", Family: show.FamilyCake, Caliber: 20, Line: 4})
			}
			f.Show.Cues = append(f.Show.Cues, show.Cue{ID: "5", EffectAt: 20 * s, Position: "A", Effect: "gold fountain", Family: show.FamilyFountain, Line: 8})
		}, []string{"warn burn no burn time for 2 cues of family cake",
			"warn burn usual: 15 to 60 s (common practice, no source; from memory)", "note not-assessed cake", "note not-assessed fountain"}},
		{"a shell by its caliber", func(f *Facts) {
			f.Show.Positions[0].Distance = 90
			call(&f.Show.Cues[1], "red peony with silver tail", 200, 100*time.Millisecond)
		}, []string{"stop prefire 1 cue with a 200 mm shell and a prefire of 0.100 s", "stop separation 170.7 m: TOO CLOSE"}},
		{"a spider", func(f *Facts) { call(&f.Show.Cues[1], "gold spider", 200, 100*time.Millisecond) }, []string{"stop prefire 200 mm shell"}},
		{"a waterfall in the sky", func(f *Facts) { call(&f.Show.Cues[1], "silver waterfall", 200, 100*time.Millisecond) }, []string{"stop prefire 200 mm shell"}},
		{"a word that nobody knows", func(f *Facts) { call(&f.Show.Cues[1], "zorbel", 200, 100*time.Millisecond) }, []string{"stop prefire 200 mm shell"}},
		{"in another language", func(f *Facts) { call(&f.Show.Cues[1], "Trauerweide mit Silberschweif", 200, 100*time.Millisecond) }, []string{"stop prefire 200 mm shell"}},
		{"the list says otherwise", func(f *Facts) { call(&f.Show.Cues[1], "silver mine", 200, 0) },
			[]string{`note not-assessed cues.csv:3: mine: 1 cue (the first is cue "1"): separation not assessed`}},
		{"no word for it and small", func(f *Facts) { call(&f.Show.Cues[1], "zorbel", 30, 0) },
			[]string{`note not-assessed not classed: 1 cue (the first is cue "1"): separation and lift time not assessed`}},
		{"shell of no size", func(f *Facts) { f.Show.Cues[1].Caliber = 0 }, []string{`note not-assessed shell: 1 cue (the first is cue "1"): separation and lift time not assessed, no caliber_mm`}},
		{"salute on the ground", func(f *Facts) { f.Show.Cues[0].Prefire = 0 }, []string{`note not-assessed salute: 1 cue (the first is cue "w"): lift time not assessed, taken to go off where it stands`}},
		{"near the crowd", func(f *Facts) { f.Show.Positions[0].Distance = 63.9 }, []string{"stop separation position A: 63.9 m to the main audience; 70 ft for each inch of its largest shell, 75 mm counted as 3 in (cue 1), are 64.0 m: TOO CLOSE"}},
		{"as far as it says", func(f *Facts) { f.Show.Positions[0].Distance = 64 }, nil},
		{"decided", func(f *Facts) { f.Show.Positions[0].Distance, f.Show.Decided = 62, decided("A") },
			[]string{"warn separation are 64.0 m: TOO CLOSE; decided by the operator: the lawn is closed"}},
		{"decided elsewhere", func(f *Facts) {
			f.Show.Positions[0].Distance, f.Show.Decided = 62, decided("B")
		}, []string{"stop separation position A"}},
		{"decided for nothing", func(f *Facts) { f.Show.Decided = decided("A") }, []string{"note decided position A: show.toml decides"}},
		{"two on a pin", func(f *Facts) {
			f.Problems = show.Problems{{Severity: show.SeverityStop, Code: show.CodePin, File: "cues.csv", Line: 9, Column: 4, Found: "pin 1", Wanted: "another"}}
		}, []string{"stop pin cues.csv:9:4: found pin 1; wanted another"}},
		{"not locked", func(f *Facts) { f.Lock.Lock = nil }, []string{"note lock-none show.lock"}},
		{"broken lock", func(f *Facts) { f.Lock = Lock{Known: true, Open: "no lock"} }, []string{"warn lock-open no lock"}},
		{"edited lock", func(f *Facts) { f.Lock.Lock.Seal = lock.Broken }, []string{"warn lock-edited show.lock: it was edited after it was written"}},
		{"older lock", func(f *Facts) { f.Lock.Lock.Seal = lock.Older }, []string{"note lock-edited made by an older version"}},
		{"changed since", func(f *Facts) { f.Lock.Changes = []lock.Change{{File: "cues.csv", Words: "it changed"}} }, []string{"warn lock-changed cues.csv: it changed"}},
		{"new tags", func(f *Facts) {
			f.Lock.Changes = []lock.Change{{File: "music.wav", Words: "other tags", Harmless: true}}
		}, []string{"note lock-changed other tags"}},
	} {
		t.Run(c.name, func(t *testing.T) {
			f := good()
			c.spoil(f)
			got := Run(f)
			ok := len(got) == len(c.want)
			for i := 0; ok && i < len(got); i++ {
				parts := strings.SplitN(c.want[i], " ", 3)
				ok = got[i].Severity.String() == parts[0] && got[i].Code == parts[1] && (len(parts) < 3 || strings.Contains(got[i].String(), parts[2]))
			}
			if !ok {
				t.Errorf("findings:\n%swant: %q", lines(got), c.want)
			}
		})
	}
}

// call makes a cue fire something else.
func call(c *show.Cue, effect string, caliber float64, prefire time.Duration) {
	c.Effect, c.Family, c.Caliber, c.Prefire = effect, show.FamilyOf(effect), caliber, prefire
}

func decided(position string) []show.Decision {
	return []show.Decision{{Finding: show.DecideSeparation, Position: position, By: "the operator", Why: "the lawn is closed"}}
}

// TestTooCloseIsNeverNothing: with people too close no summary says that
// nothing forbids arming, decided on or not.
func TestTooCloseIsNeverNothing(t *testing.T) {
	f := good()
	f.Show.Positions[0].Distance = 62
	for _, c := range []struct {
		decided []show.Decision
		want    string
	}{
		{nil, "1 stop, 0 warnings, 0 notes: not to be armed"},
		{decided("A"), "0 stops, 1 warning, 0 notes: to be armed on 1 decision of show.toml alone, with people TOO CLOSE"},
	} {
		f.Show.Decided = c.decided
		if got := Run(f).Summary(); got != c.want {
			t.Errorf("%q, want %q", got, c.want)
		}
	}
}

// TestOneSlipIsOneFinding: a column in the wrong unit does not bury the rest.
func TestOneSlipIsOneFinding(t *testing.T) {
	f := good()
	for i := range 500 {
		cue := f.Show.Cues[1]
		cue.ID, cue.Line, cue.Prefire = fmt.Sprint("n", i), 10+i, 0
		f.Show.Cues = append(f.Show.Cues, cue)
	}
	got := Run(f)
	if len(got) != 1 || !strings.Contains(got[0].Found, "500 cues with a 75 mm shell") || got[0].Place != "cues.csv:10" {
		t.Errorf("findings:\n%s", lines(got))
	}
}

func TestManyAreCounted(t *testing.T) {
	f := good()
	for i := range 100 {
		f.Problems = append(f.Problems, show.Problem{Severity: show.SeverityWarn, Code: show.CodeGap, File: "cues.csv", Line: i})
	}
	f.Problems = append(f.Problems, show.Problem{Severity: show.SeverityStop, Code: show.CodeTime, File: "cues.csv", Line: 7})
	got := Run(f)
	stops, warns, _ := got.Counts()
	if stops != 1 || warns != maxFindings+1 || got[0].Code != show.CodeTime {
		t.Errorf("findings:\n%s", lines(got))
	}
	if last := got[len(got)-1]; last.Code != CodeMore || !strings.HasPrefix(last.Found, "80 more findings") {
		t.Errorf("last: %s", last)
	}
	if got.Summary() != "1 stop, 21 warnings, 0 notes: not to be armed" {
		t.Errorf("summary: %s", got.Summary())
	}
}

// TestTextsAreSafe puts hostile names in every place that a file may.
func TestTextsAreSafe(t *testing.T) {
	hostile := "\x1b]0;x\a\u202Eevil\n" + strings.Repeat("long ", 500)
	f := good()
	f.Show.Witness, f.Show.FieldDevices = nil, 9
	f.Show.Positions[0] = show.Position{Name: hostile, Distance: 10}
	f.Show.Modules = append(f.Show.Modules, show.Module{Name: hostile})
	f.Show.Cues[1] = show.Cue{ID: hostile, Position: hostile, Module: hostile, Family: show.FamilyShell, Caliber: 300}
	f.Music.Open, f.Companions[0].File, f.Companions[0].Missing = hostile, hostile, true
	f.Lock = Lock{Known: true, Open: hostile, Changes: []lock.Change{{File: hostile, Words: hostile}}}
	got := Run(f)
	if len(got) < 6 {
		t.Fatalf("only these findings:\n%s", lines(got))
	}
	for _, x := range got {
		line := x.String()
		if i := strings.IndexFunc(line, func(r rune) bool { return unicode.IsControl(r) || r == '\u202E' }); i >= 0 {
			t.Errorf("%s: a control character at %d of %q", x.Code, i, line)
		}
		if len(line) > 4*maxText {
			t.Errorf("%s: a line of %d bytes", x.Code, len(line))
		}
	}
}

func TestFindingAsJSON(t *testing.T) {
	b, err := json.Marshal(Findings{{show.SeverityWarn, CodeRate, "a.wav", "x", "y"}})
	if want := `[{"severity":"warn","code":"rate","place":"a.wav","found":"x","do":"y"}]`; err != nil || string(b) != want {
		t.Errorf("%s, %v; want %s", b, err, want)
	}
}

func TestWith(t *testing.T) {
	a := Findings{{Severity: show.SeverityWarn, Code: "1"}, {Severity: show.SeverityNote, Code: "2"}}
	got := a.With(Findings{{Severity: show.SeverityStop, Code: "3"}, {Severity: show.SeverityWarn, Code: "4"}})
	codes := ""
	for _, f := range got {
		codes += f.Code
	}
	if codes != "3142" || len(got.Stops()) != 1 || slices.ContainsFunc(a, func(f Finding) bool { return f.Code == "3" }) {
		t.Errorf("order %s", codes)
	}
}
