package fitness

import (
	"encoding/json"
	"strings"
	"testing"
	"time"
)

const ms = Milliseconds(time.Millisecond)

// well is a computer that nothing is wrong with.
func well() *Figures {
	return &Figures{
		Program: "drylane dev", System: "linux/amd64", CPUs: 4,
		Sound:    &Sound{Name: "PipeWire, Robin's loudspeaker", Server: "PipeWire", Rate: 48000, Played: 20 * 1000 * ms, Latency: 21 * ms},
		Loop:     &Loop{By: Monitor, Sent: 18, Found: 18, Late: ms / 2, Spread: 12 * ms / 10},
		Timer:    &Timer{Ticks: 4000, Late99: 3 * ms / 10, Worst: 4 * ms},
		Disk:     &Disk{Syncs: 40, Median: 3 * ms, Worst: 22 * ms},
		Clock:    &Clock{Watched: 20 * 1000 * ms},
		Terminal: &Terminal{Columns: 120, Rows: 36, Colours: 1 << 24, Answers: true, Asked: 80, Redraw: 4 * ms, Slow: 9 * ms, Releases: true, Repeat: &Repeat{Keys: 20, After: 500 * ms, Every: 33 * ms}},
	}
}

// TestJudge: what is wrong is graded, said with its figure, and what to change is said.
func TestJudge(t *testing.T) {
	t.Parallel()
	untried := func(p Part, why string) func(*Figures) {
		return func(f *Figures) { f.Untried = map[Part]string{p: why} }
	}
	tests := []struct {
		name     string
		change   func(f *Figures)
		words    string
		part     Part
		grade    Grade
		text, do string
	}{
		{"well", func(*Figures) {}, "FIT", PartSound, Good, "no gap in 20.00 s", ""},
		{"a gap", func(f *Figures) { f.Sound.Underruns = 1 }, "FIT WITH LIMITS, as far as it was tried", PartSound, Limit, "1 gap in 20.00 s: the music stutters", "close other programs"},
		{"unsteady for its gaps", func(f *Figures) { f.Sound.Underruns, f.Loop.Spread = 1, 90*ms }, "FIT WITH LIMITS, as far as it was tried", PartLoop, Untried, "the sound had gaps: cannot tell how steady", "try again"},
		{"many gaps", func(f *Figures) { f.Sound.Underruns = 3 }, "NOT FIT", PartSound, Unfit, "3 gaps", "close other programs"},
		{"wireless", func(f *Figures) { f.Sound.Latency = 180 * ms }, "FIT WITH LIMITS", PartSound, Limit, "tells of 180 ms", "a hold is heard that much later"},
		{"late", func(f *Figures) { f.Loop.Late = 37 * ms }, "FIT WITH LIMITS", PartLoop, Limit, "37 ms later than the device tells", "run with --latency 37ms"},
		{"on time", func(*Figures) {}, "FIT", PartLoop, Good, "by the monitor the sound comes when the device tells", ""},
		{"a little late", func(f *Figures) { f.Loop.Late = 4 * ms }, "FIT", PartLoop, Good, "comes 4.0 ms later than the device tells", ""},
		{"early", func(f *Figures) { f.Loop.Late = -37 * ms }, "FIT WITH LIMITS", PartLoop, Limit, "37 ms earlier than the device tells", "run with --latency -37ms"},
		{"late in the room", func(f *Figures) { f.Loop.By, f.Loop.Late = Microphone, 37*ms }, "FIT WITH LIMITS", PartLoop, Limit, "by the microphone", "less 3 ms for each metre"},
		{"unsteady", func(f *Figures) { f.Loop.Spread = 7 * ms }, "FIT WITH LIMITS", PartLoop, Limit, "strays from its time by up to 7.0 ms", "close other programs"},
		{"at sea", func(f *Figures) { f.Loop.Spread = 14 * ms }, "NOT FIT", PartLoop, Unfit, "by up to 14 ms", "close other programs"},
		{"clicks lost", func(f *Figures) { f.Loop.Found = 14 }, "FIT, as far as it was tried", PartLoop, Untried, "14 of 18 clicks found again by the monitor: cannot tell", "unmute the device"},
		{"clicks lost in the room", func(f *Figures) { f.Loop.By, f.Loop.Found = Microphone, 2 }, "FIT, as far as it was tried", PartLoop, Untried, "2 of 18 clicks", "turn the loudspeaker up"},
		{"busy", func(f *Figures) { f.Timer.Late99 = 25 * ms }, "FIT WITH LIMITS", PartTimer, Limit, "99 in 100 ran within 25 ms", "close other programs"},
		{"stalls", func(f *Figures) { f.Timer.Worst = 120 * ms }, "FIT WITH LIMITS", PartTimer, Limit, "may have a gap", "close other programs"},
		{"cannot feed", func(f *Figures) { f.Timer.Late99 = 100 * ms }, "NOT FIT", PartTimer, Unfit, "cannot be fed in time", "close other programs"},
		{"slow disk", func(f *Figures) { f.Disk.Worst = 1500 * ms }, "FIT WITH LIMITS", PartDisk, Limit, "at most 1.50 s: a crash may lose", "not on a stick"},
		{"clock set back", func(f *Figures) { f.Clock.Step = -1200 * ms }, "FIT WITH LIMITS", PartClock, Limit, "put back by 1.20 s", "before the show"},
		{"small window", func(f *Figures) { f.Terminal.Rows = 20 }, "NOT FIT", PartTerminal, Unfit, "120x20, all colours", "80x24 or larger"},
		{"no colours", func(f *Figures) { f.Terminal.Colours = 0 }, "FIT WITH LIMITS", PartTerminal, Limit, "no colours", "theme mono"},
		{"wide characters", func(f *Figures) { f.Terminal.Wrong = "▸░" }, "FIT WITH LIMITS", PartTerminal, Limit, "2 of 80 characters of the screens are not one column wide: ▸░", "--ascii"},
		{"slow link", func(f *Figures) { f.Terminal.Redraw = 50 * ms }, "FIT WITH LIMITS", PartTerminal, Limit, "moves in steps", "smaller window"},
		{"very slow link", func(f *Figures) { f.Terminal.Redraw = 300 * ms }, "FIT WITH LIMITS", PartTerminal, Limit, "behind the music", "not one over a network"},
		{"a terminal that does not answer", func(f *Figures) { f.Terminal.Answers = false }, "FIT, as far as it was tried", PartTerminal, Untried, "does not tell where its cursor is", ""},
		{"repeat", func(*Figures) {}, "FIT", PartKeys, Good, "again after 500 ms, then every 33 ms: one second on a nudge key is 17 nudges", ""},
		{"no repeat", func(f *Figures) { f.Terminal.Repeat.Keys = 1 }, "FIT", PartKeys, Good, "comes once", ""},
		{"no key", func(f *Figures) { f.Terminal.Repeat = nil }, "FIT, as far as it was tried", PartKeys, Untried, "no key was held down", ""},
		{"no sound", untried(PartSound, "no sound server answers"), "FIT, as far as it was tried", PartSound, Untried, "no sound server answers", ""},
		{"nothing", func(f *Figures) { *f = Figures{Untried: map[Part]string{PartSound: "none"}} }, "CANNOT TELL", PartSound, Untried, "none", ""},
	}
	for _, tt := range tests {
		f := well()
		tt.change(f)
		v := Judge(f)
		if v.Words != tt.words {
			t.Errorf("%s: %q; wanted %q: %+v", tt.name, v.Words, tt.words, v.Findings)
		}
		found := false
		for _, x := range v.Findings {
			found = found || x.Part == tt.part && x.Grade == tt.grade && strings.Contains(x.Text, tt.text) && strings.Contains(x.Do, tt.do)
		}
		if !found {
			t.Errorf("%s: no finding says %q and %q: %+v", tt.name, tt.text, tt.do, v.Findings)
		}
	}
}

// TestWhatIsWrongSaysWhatToChange: a limit without a way out is of no use.
func TestWhatIsWrongSaysWhatToChange(t *testing.T) {
	t.Parallel()
	f := well()
	*f.Sound = Sound{Name: "x", Underruns: 9, Latency: 900 * ms}
	*f.Loop = Loop{By: Monitor, Sent: 9, Found: 9, Late: 99 * ms, Spread: 99 * ms}
	*f.Timer = Timer{Late99: 99 * ms, Worst: 99 * ms}
	*f.Disk = Disk{Median: 999 * ms}
	*f.Clock = Clock{Step: 99 * ms}
	*f.Terminal = Terminal{Columns: 20, Rows: 5, Answers: true, Wrong: "█", Redraw: 999 * ms}
	wrong := 0
	for _, x := range Judge(f).Findings {
		if x.Grade < Limit {
			continue
		}
		wrong++
		if x.Do == "" {
			t.Errorf("%s: %s: nothing to change", x.Part, x.Text)
		}
	}
	if wrong != 9 {
		t.Errorf("%d things are wrong; wanted 9", wrong)
	}
}

// TestPage: what is wrong stands first, and a line is no wider than it may be.
func TestPage(t *testing.T) {
	t.Parallel()
	f := well()
	f.Sound.Latency, f.Loop.Late = 180*ms, 37*ms
	f.Terminal = nil
	f.Untried = map[Part]string{PartTerminal: "this is no terminal", PartKeys: "this is no terminal"}
	var page strings.Builder
	if err := Judge(f).WriteText(&page, 72); err != nil {
		t.Fatal(err)
	}
	want := `FIT WITH LIMITS, as far as it was tried

Limits
  sound      the device tells of 180 ms between computer and loudspeaker
             -> a hold is heard that much later: use a cable in place of
                a wireless link
  loopback   by the monitor the sound comes 37 ms later than the device
             tells
             -> run with --latency 37ms

Good
  sound      no gap in 20.00 s
  loopback   it keeps its time within 1.2 ms
  timer      of 4000 tasks 99 in 100 ran within 0.3 ms of their time,
             the latest 4.0 ms late
  disk       a line of the session log is safe after 3.0 ms, of 40 at
             most 22 ms
  clock      the time of day went on without a step for 20.00 s

Not tried, or cannot tell
  terminal   this is no terminal
  keys       this is no terminal
`
	if page.String() != want {
		t.Errorf("got\n%swant\n%s", page.String(), want)
	}
}

// TestFiguresNameNobody: what goes to whoever helps has the figures and not the name
// of the device, which may be that of a person.
func TestFiguresNameNobody(t *testing.T) {
	t.Parallel()
	f := well()
	text, err := json.Marshal(struct {
		Verdict
		Figures *Figures `json:"figures"`
	}{Judge(f), f})
	if err != nil {
		t.Fatal(err)
	}
	if strings.Contains(string(text), "Robin") || !strings.Contains(string(text), `"server":"PipeWire"`) || !strings.Contains(string(text), `"late_ms":0.500`) {
		t.Errorf("got %s", text)
	}
}
