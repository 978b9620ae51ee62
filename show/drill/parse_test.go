package drill

import (
	"fmt"
	"io/fs"
	"reflect"
	"strings"
	"testing"
	"testing/fstest"
	"time"

	"drylane/show"
	"drylane/show/timebase"
)

// small is the shortest drill.
const small = `title = "T"
level = 1
show = "demo"
until = "1:00"
briefing = "B"
[[measure]]
what = "needless cuts"
good = 0
`

// call is a step that asks for a hold, from line 9 of small on.
const call = `[[step]]
name = "call"
at = "0:30"
do = "radio"
from = "spotter"
text = "Hold."
wants = "hold"
`

func parse(t *testing.T, text string) (*Drill, error) {
	t.Helper()
	return Parse("drills/x.toml", strings.NewReader(text))
}

func TestParse(t *testing.T) {
	text := `title = "A dead module"
level = 2
show = "demo"
briefing = """
First line.

Second line.
"""
good = "G"
why = "W"

[[mend]]
position = "Slip"
late = 0.3

[[plant]]
late = [-0.3, 0.3]
grow = 0.4
chance = 0.5

[[plant]]
position = "Slip"
late = -0.3

[[step]]
name = "dead"
at = ["0:35", "50"]
do = "dead"
module = "Q1"
chance = 0.25

[[step]]
name = "call"
after = "dead"
wait = ["2", "4.500"]
do = "radio"
from = "Quay"
text = "Quay. No ignition."
wants = "stand down"
position = "Quay"

[[step]]
name = "end"
after = "stand down"
do = "over"

[[measure]]
what = "time to stand down"
step = "call"
good = 4
pass = 8
weight = 2

[[measure]]
what = "needless holds"
good = 0

[[example]]
name = "good"
seed = 7
script = """
+0 arm
+2 start
"""
score = 90
says = "Why."
`
	got, err := parse(t, text)
	if err != nil {
		t.Fatal(err)
	}
	ms := func(n int) time.Duration { return time.Duration(n) * time.Millisecond }
	want := &Drill{
		Name: "x", Title: "A dead module", Level: 2, Show: "demo",
		Briefing: "First line.\n\nSecond line.", Good: "G", Why: "W",
		Mends: []Mend{{Position: "Slip", Late: ms(300), Line: 12}},
		Plants: []Plant{
			{Late: []time.Duration{ms(-300), ms(300)}, Grow: []time.Duration{ms(400)}, Chance: 0.5, Line: 16},
			{Position: "Slip", Late: []time.Duration{ms(-300)}, Chance: 1, Line: 21},
		},
		Steps: []Step{
			{Name: "dead", When: Trigger{From: ms(35_000), To: ms(50_000)}, Do: Dead,
				Group: show.Group{By: "module", Name: "Q1"}, Chance: 0.25, Line: 25},
			{Name: "call", When: Trigger{After: "dead", From: ms(2000), To: ms(4500)}, Do: Radio, From: "Quay",
				Text: "Quay. No ignition.", Wants: WantStandDown, Of: show.Group{By: "position", Name: "Quay"}, Chance: 1, Line: 32},
			{Name: "end", When: Trigger{After: "stand down"}, Do: Over, Chance: 1, Line: 42},
		},
		Measures: []Measure{
			{Kind: TimeToStandDown, Step: "call", Good: 4, Pass: 8, Weight: 2, Line: 47},
			{Kind: NeedlessHolds, Weight: 1, Line: 54},
		},
		Examples: []Example{{Name: "good", Seed: 7, Script: "+0 arm\n+2 start", Score: 90, Says: "Why.", Line: 58}},
		Source:   text,
	}
	if !reflect.DeepEqual(got, want) {
		t.Errorf("got  %+v\nwant %+v", got, want)
	}
}

func TestParseRefuses(t *testing.T) {
	example := "[[example]]\nname = \"good\"\nscript = \"+0 arm\"\nscore = 5\n"
	tests := []struct{ name, text, want string }{
		{"nothing", "", "file drills/x.toml: found nothing: the file is empty"},
		{"no TOML", "title", "syntax drills/x.toml:1:5: found what is not TOML"},
		{"empty", "# none\n", "missing drills/x.toml: found no title\nmissing drills/x.toml: found no level\n" +
			"missing drills/x.toml: found no show\nmissing drills/x.toml: found no briefing\nmissing drills/x.toml: found no measure"},
		{"key", small + "[[step]]\nnmae = \"a\"\nname = \"b\"\nat = \"1\"\ndo = \"over\"\n",
			`key drills/x.toml:10:1: found the unknown key "nmae" under [step]; wanted one of name, after, at, do, from, text, wants, chance, forbids, position, module, effect; did you mean "name"?`},
		{"level", strings.Replace(small, "level = 1", "level = 5", 1), "range drills/x.toml:2:1: found the number 5 as level; wanted 1 to 4"},
		{"mend", small + "[[mend]]\nposition = \"Slip\"\n[[mend]]\nlate = [0.1, 0.2]\n",
			"missing drills/x.toml:9:3: found no late under [mend]\nvalue drills/x.toml:12:1: found a list as late"},
		{"plant", small + "[[plant]]\nposition = \"Slip\"\n", "missing drills/x.toml:9:3: found no late under [plant]"},
		{"late", small + "[[plant]]\nlate = 11\n", "range drills/x.toml:10:1: found the number 11 as late; wanted -10 to 10 seconds"},
		{"lates", small + "[[plant]]\nlate = [0.1, \"x\"]\n", `type drills/x.toml:10:1: found "x" as late; wanted a number of seconds`},
		{"decimals", small + "[[plant]]\nlate = 0.0001\n", "range drills/x.toml:10:1: found the number 0.0001 as late; wanted at most three decimals"},
		{"no late", small + "[[plant]]\nlate = []\n", "missing drills/x.toml:10:1: found an empty list as late"},
		{"chance", small + "[[plant]]\nlate = 1\nchance = 0\n", "range drills/x.toml:11:1: found the number 0 as chance; wanted 0.01 to 1"},
		{"step", small + "[[step]]\n", "missing drills/x.toml:9:3: found no at under [step]\n" +
			"missing drills/x.toml:9:3: found no name under [step]\nmissing drills/x.toml:9:3: found no do under [step]"},
		{"radio", small + "[[step]]\nname = \"a\"\nat = \"1\"\ndo = \"radio\"\n",
			"missing drills/x.toml:9:3: found no from under [step]\nmissing drills/x.toml:9:3: found no text under [step]"},
		{"deed", small + "[[step]]\nname = \"a\"\nat = \"1\"\ndo = \"ded\"\n",
			`value drills/x.toml:12:1: found "ded" as do; wanted one of radio, go, no-go, back, music off, music on, dead, alive, calls off, calls on, device lost, device back, late_one, over; did you mean "dead"?`},
		{"text", small + "[[step]]\nname = \"a\"\nat = \"1\"\ndo = \"dead\"\ntext = \"hm\"\n", `value drills/x.toml:13:1: found a text as text; wanted it with do = "radio", "go", "no-go" or "back" only`},
		{"answer of nobody asked", small + "[[step]]\nname = \"a\"\nat = \"1\"\ndo = \"go\"\nfrom = \"Spotter\"\ntext = \"Go.\"\n", `unknown drills/x.toml:13:1: found "Spotter" as from; wanted a [[ready]] for it`},
		{"answer of another", small + "[[ready]]\nwho = \"Spotter\"\nasks = \"Ready?\"\n[[step]]\nname = \"a\"\nat = \"1\"\ndo = \"no-go\"\nfrom = \"Spoter\"\ntext = \"No.\"\n", `unknown drills/x.toml:16:1: found "Spoter" as from; wanted one of Spotter; did you mean "Spotter"?`},
		{"no-go of nobody asked", small + "[[step]]\nname = \"a\"\nat = \"1\"\ndo = \"radio\"\nfrom = \"Spotter\"\ntext = \"Wait.\"\nwants = \"no-go\"\n", `unknown drills/x.toml:13:1: found "Spotter" as from; wanted a [[ready]] for it`},
		{"safe_wait", "safe_wait = 30\n" + small, `type drills/x.toml:1:1: found the number 30 as safe_wait; wanted a time in quotes, such as "5.000"`},
		{"wants", small + strings.Replace(call, `"hold"`, `"holds"`, 1), `value drills/x.toml:15:1: found "holds" as wants; wanted one of hold, resume, cut, stand down, arm, no-go; did you mean "hold"?`},
		{"whom", small + strings.Replace(call, `"hold"`, `"stand down"`, 1), "missing drills/x.toml:9:3: found no position under [step]"},
		{"group", small + call + "position = \"Quay\"\n", `value drills/x.toml:16:1: found "Quay" as position; wanted it where do is "dead", "alive", "calls off", "calls on" or "late_one", or wants is "stand down"`},
		{"calls of nobody", small + "[[step]]\nname = \"c\"\nat = \"1\"\ndo = \"calls off\"\n", `missing drills/x.toml:9:3: found no position under [step]; wanted a line such as position = "Quay": whose it is`},
		{"calls of a module", small + "[[step]]\nname = \"c\"\nat = \"1\"\ndo = \"calls off\"\nmodule = \"Q1\"\n", `value drills/x.toml:13:1: found "Q1" as module; wanted a position for "calls off"`},
		{"groups", small + "[[step]]\nname = \"a\"\nat = \"1\"\ndo = \"dead\"\nposition = \"Quay\"\nmodule = \"Q1\"\n",
			`value drills/x.toml:14:1: found "Q1" besides position as module; wanted one of position, module and effect`},
		{"family", small + "[[step]]\nname = \"a\"\nat = \"1\"\ndo = \"dead\"\neffect = \"shells\"\n", `unknown drills/x.toml:13:1: found "shells" as effect; wanted one of other, shell, `},
		{"times", small + strings.Replace(call, `"0:30"`, `["0:30", "0:20"]`, 1), "range drills/x.toml:11:1: found 0:30.000 before 0:20.000 as at; wanted the earlier time first"},
		{"three times", small + strings.Replace(call, `"0:30"`, `["1", "2", "3"]`, 1), "value drills/x.toml:11:1: found a list of more than two times as at"},
		{"no time", small + strings.Replace(call, `"0:30"`, `30`, 1), "type drills/x.toml:11:1: found the number 30 as at; wanted a time in quotes"},
		{"comma", small + strings.Replace(call, `"0:30"`, `"30,5"`, 1), `time drills/x.toml:11:1: found "30,5" as at; wanted seconds such as 83.250 or m:ss.mmm, with a point, not a comma`},
		{"both", small + call + "after = \"start\"\n", "value drills/x.toml:11:1: found a moment of the music besides after and wait as at"},
		{"wait", small + "[[step]]\nname = \"a\"\nafter = \"start\"\nwait = \"1:00:01\"\ndo = \"over\"\n", "range drills/x.toml:12:1: found 1:00:01.000 as wait; wanted an hour at most"},
		{"too late", small + strings.Replace(call, `"0:30"`, `"1:01"`, 1), "late drills/x.toml:11:1: found 1:01.000 as at; wanted a moment before the drill is over, at 1:00.000"},
		{"twice", small + call + call, `duplicate drills/x.toml:17:1: found "call" a second time as name`},
		{"reserved", small + strings.Replace(call, `"call"`, `"start"`, 1), `duplicate drills/x.toml:10:1: found "start", which means something else, as name`},
		{"after whom", small + call + "[[step]]\nname = \"b\"\nafter = \"cal\"\ndo = \"over\"\n",
			`unknown drills/x.toml:18:1: found "cal" as after; wanted a step's name, or one of arm, start, hold, resume, stand down, cut, opening, new start; did you mean "call"?`},
		{"after all", small + "[[step]]\nname = \"a\"\nat = \"1\"\ndo = \"over\"\n[[step]]\nname = \"b\"\nafter = \"a\"\ndo = \"dead\"\n",
			`value drills/x.toml:15:1: found "a", with which the drill is over, as after`},
		{"circle", small + "[[step]]\nname = \"a\"\nafter = \"b\"\ndo = \"dead\"\n[[step]]\nname = \"b\"\nafter = \"a\"\ndo = \"dead\"\n",
			`value drills/x.toml:11:1: found "b", which waits for this step itself, as after; wanted what comes without it` + "\n" + `value drills/x.toml:15:1: found "a", which waits for`},
		{"measure", small + "[[measure]]\nwhat = \"time to hld\"\ngood = 3\n", `value drills/x.toml:10:1: found "time to hld" as what; wanted one of time to hold, `},
		{"its step", small + call + "[[measure]]\nwhat = \"time to hold\"\ngood = 3\n", "missing drills/x.toml:16:3: found no step under [measure]"},
		{"which step", small + call + "[[measure]]\nwhat = \"time to hold\"\nstep = \"cull\"\ngood = 3\n", `unknown drills/x.toml:18:1: found "cull" as step; wanted the name of a [[step]]; did you mean "call"?`},
		{"wrong step", small + call + "[[measure]]\nwhat = \"time to cut\"\nstep = \"call\"\ngood = 3\n", `value drills/x.toml:18:1: found "call" as step; wanted a step that asks for it: wants = "cut"`},
		{"no step", small + call + "[[measure]]\nwhat = \"residual\"\nstep = \"call\"\ngood = 0.1\n", `value drills/x.toml:18:1: found "call" as step; wanted no step: residual counts over the whole run`},
		{"pass", small + "[[measure]]\nwhat = \"residual\"\ngood = 2\npass = 1\n", "range drills/x.toml:12:1: found 1 as pass; wanted 2, what is good, or more"},
		{"measured twice", small + "[[measure]]\nwhat = \"needless cuts\"\ngood = 1\n", `duplicate drills/x.toml:10:1: found "needless cuts" a second time as what`},
		{"script", small + strings.Replace(example, "+0 arm", `+0 arm\n+1 dance`, 1), `syntax drills/x.toml:11:1: found "+1 dance" (line 2 of it) as script; wanted one of: arm, `},
		{"examples", small + example + example, `duplicate drills/x.toml:14:1: found "good" a second time as name`},
		{"score", small + strings.Replace(example, "5", "101", 1), "range drills/x.toml:12:1: found the number 101 as score; wanted 0 to 100"},
		{"long", small + "[[step]]\nname = \"" + strings.Repeat("n", 3000) + "\"\nat = \"1\"\ndo = \"over\"\nposition = \"" + strings.Repeat("p", 3000) + "\"\n",
			"value drills/x.toml:13:1: found \"" + strings.Repeat("p", 60) + `…" as position`},
	}
	for _, tt := range tests {
		d, err := parse(t, tt.text)
		problems, _ := err.(show.Problems)
		if d != nil || len(problems) == 0 {
			t.Errorf("%s: got %v, %v", tt.name, d, err)
			continue
		}
		wants := strings.Split(tt.want, "\n")
		if len(wants) != len(problems) {
			t.Errorf("%s: got %d problems, want %d:\n%v", tt.name, len(problems), len(wants), err)
			continue
		}
		for i, p := range problems {
			if msg := p.Code + " " + p.Error(); !strings.HasPrefix(msg, wants[i]) {
				t.Errorf("%s: got  %s\nwant %s", tt.name, msg, wants[i])
			}
		}
	}
}

func TestParseFindsEverything(t *testing.T) {
	_, err := parse(t, "level = 9\nuntill = \"1:00\"\n[[step]]\nname = \"a\"\nat = \"x\"\ndo = \"dead\"\n[[example]]\nscore = 3\n")
	problems, _ := err.(show.Problems)
	var places []string
	for _, p := range problems {
		places = append(places, fmt.Sprintf("%s:%d", p.Code, p.Line))
	}
	want := "missing:0 missing:0 missing:0 missing:0 range:1 key:2 time:5 missing:7 missing:7"
	if got := strings.Join(places, " "); got != want {
		t.Errorf("got  %s\nwant %s\n%v", got, want, err)
	}
}

func TestTemplateParses(t *testing.T) {
	if d, err := Parse("template.toml", strings.NewReader(Template)); err != nil || len(d.Steps) != 3 {
		t.Fatalf("got %+v, %v", d, err)
	}
	// What it has in remarks must do as well.
	var text strings.Builder
	for line := range strings.Lines(Template) {
		code, remark := strings.CutPrefix(line, "# ")
		if remark && !strings.Contains(code, "[[") && !strings.Contains(code, " = ") && !strings.HasPrefix(code, "+") && !strings.HasPrefix(code, `"""`) {
			continue
		}
		text.WriteString(code)
	}
	d, err := Parse("template.toml", strings.NewReader(text.String()))
	if err != nil {
		t.Fatal(err)
	}
	if len(d.Plants) != 2 || len(d.Steps) != 5 || len(d.Examples) != 1 {
		t.Errorf("%d plants, %d steps, %d examples", len(d.Plants), len(d.Steps), len(d.Examples))
	}
}

func TestFormatHelpNamesEverything(t *testing.T) {
	all := append(append(append(texts(Deeds()), texts(wants)...), texts(kinds)...), traineeWords...)
	for _, word := range all {
		if !strings.Contains(FormatHelp, word) {
			t.Errorf("the help does not speak of %q", word)
		}
	}
}

func TestList(t *testing.T) {
	drills, err := List(fstest.MapFS{
		"b.toml":   {Data: []byte(small)},
		"a.toml":   {Data: []byte(strings.Replace(small, "level = 1", "level = 2", 1))},
		"c.toml":   {Data: []byte("level = 1")},
		"notes.md": {Data: []byte("no drill")},
		"d/e.toml": {Data: []byte("elsewhere")},
	})
	var got []string
	for _, d := range drills {
		got = append(got, fmt.Sprint(d.Name, d.Level))
	}
	if fmt.Sprint(got) != "[b1 a2]" {
		t.Errorf("got %v", got)
	}
	if problems, ok := err.(show.Problems); !ok || problems[0].File != "c.toml" {
		t.Errorf("got the error %v", err)
	}
	if _, err := List(noFolder{}); err == nil {
		t.Error("no error where there is no folder")
	}
}

type noFolder struct{}

func (noFolder) Open(name string) (fs.File, error) {
	return nil, &fs.PathError{Op: "open", Path: name, Err: fs.ErrNotExist}
}

func TestCheckAgainstShow(t *testing.T) {
	d, err := parse(t, small+"[[plant]]\nposition = \"Slipp\"\nlate = 1\n"+
		"[[step]]\nname = \"a\"\nat = \"1\"\ndo = \"dead\"\nmodule = \"M1\"\n"+
		"[[step]]\nname = \"b\"\nat = \"1\"\ndo = \"dead\"\neffect = \"flame\"\n")
	if err != nil {
		t.Fatal(err)
	}
	s := &show.Show{Cues: []show.Cue{{Position: "Slip", Module: "M1", Family: show.FamilyShell}}}
	want := "x.toml:9: found the position \"Slipp\"; wanted one that the show has cues for; did you mean \"Slip\"?\n" +
		"x.toml:17: found the effect \"flame\"; wanted one that the show has cues for"
	if got := d.Check(s).Error(); got != want {
		t.Errorf("got  %s\nwant %s", got, want)
	}
}

func FuzzParse(f *testing.F) {
	f.Add(Template)
	f.Add(small + call)
	f.Add(small + "[[plant]]\nlate = [nan, inf]\nchance = 1e400\n[[example]]\nscript = \"\"\"\n+0 arm\n")
	f.Add(small + "[[step]]\nname = \"a\"\nafter = \"a\"\nwait = [\"1\", \"2\"]\n")
	f.Fuzz(func(t *testing.T, text string) {
		d, err := Parse("f.toml", strings.NewReader(text))
		problems, _ := err.(show.Problems)
		for _, p := range problems {
			// A message repeats at most one text of the file, which the
			// quotes may make four times as long, and says the rest itself.
			if msg := p.Error(); show.Clean(msg) != msg || len(msg) > 900 {
				t.Errorf("the message is not fit to print: %q", msg)
			}
		}
		if err != nil {
			return
		}
		again, err := Parse("f.toml", strings.NewReader(d.Source))
		if err != nil || !reflect.DeepEqual(again.Steps, d.Steps) {
			t.Errorf("the source does not read as the drill: %v", err)
		}
		x := d.Draw(1)
		dir := NewDirector(x, 48000)
		now := time.Date(2000, 1, 1, 0, 0, 0, 0, time.UTC)
		dir.Saw(show.EventArmed, now)
		dir.Saw(show.EventStarted, now)
		dir.Due(View{State: show.Running, Heard: timebase.FrameAt(show.MaxTime, 48000), Now: now.Add(show.MaxTime)})
	})
}
