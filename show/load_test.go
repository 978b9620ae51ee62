package show

import (
	"errors"
	"io/fs"
	"math"
	"reflect"
	"slices"
	"strings"
	"testing"
	"testing/fstest"
	"time"
)

const smallShow = "title = \"T\"\ncues = \"cues.csv\"\n[soundtrack]\nfile = \"music.wav\"\n"

// folderOf is a show folder in memory.
func folderOf(toml, cues string) fstest.MapFS {
	return fstest.MapFS{showFile: {Data: []byte(toml)}, "cues.csv": {Data: []byte(cues)}}
}

// wantProblems compares the problems line by line with want, where each line
// of want is a code and the beginning of the message.
func wantProblems(t *testing.T, got Problems, want ...string) {
	t.Helper()
	var lines []string
	for _, p := range got {
		lines = append(lines, p.Code+" "+p.Error())
	}
	ok := len(lines) == len(want)
	for i := 0; ok && i < len(want); i++ {
		ok = strings.HasPrefix(lines[i], want[i])
	}
	if !ok {
		t.Errorf("problems:\n\t%s\nwant:\n\t%s", strings.Join(lines, "\n\t"), strings.Join(want, "\n\t"))
	}
}

func TestLoad(t *testing.T) {
	fsys := folderOf(`
title = "Harbour"
cues = "lists/cues.csv"
field_devices = 5
[soundtrack]
file = "music/master.flac"
sha256 = "E3B0C44298FC1C149AFBF4C8996FB92427AE41E4649B934CA495991B7852B855"
[console]
guard = "200ms"
nudge_limit = "2.5s"
lanes = "effect"
checklist = ["one", "two"]
count_in = 4
together = 9
[witness]
at = "5.000"
cue = "w"
[[position]]
name = "North"
distance_m = 120
bearing = -12.5
[[position]]
name = "Hand"
hand_fired = true
[[module]]
name = "M1"
pins = 16
min_gap = "50ms"
[[speaker]]
name = "Main"
distance_m = 30.5
bearing = 3
delay = "12ms"
[[audience]]
name = "Terrace"
distance_m = 80
bearing = -90
[[ready]]
who = "Spotter"
asks = "Anybody there?"
[[ready]]
who = "Fire watch"
asks = "Way free?"
keeps = true
[safe]
wait = "20m"
crew = ["Ada", "Ben"]
[[decided]]
finding = "separation"
position = "North"
by = "the operator in charge"
why = "the terrace stays empty"
[crew]
lost = "go on"
[air]
temperature_c = -5
[[track]]
file = "tracks/code.wav"
left = "music"
right = "timecode 25 01:00:00:00"
[[player]]
name = "Desk"
file = "tracks/code.wav"
`, "")
	fsys["lists/cues.csv"] = &fstest.MapFile{Data: []byte("\uFEFFnote,pin,module,position,prefire,effect_at,cue,effect,caliber_mm,burn\n" +
		"\"with a \"\"quote\"\", and\nmore\",3,M1,North,2.2,1:23.250,A1,willow shells,75.5,3\n" +
		",,,Hand,,5.000,w,comet,,\n")}
	s, problems := LoadAll(fsys)
	wantProblems(t, problems)
	want := &Show{
		Title:        "Harbour",
		CuesFile:     "lists/cues.csv",
		Soundtrack:   Soundtrack{"music/master.flac", "e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855"},
		Console:      Console{200 * time.Millisecond, 2500 * time.Millisecond, LanesByFamily, []string{"one", "two"}, 4, 9},
		Witness:      &Witness{5 * time.Second, "w"},
		Positions:    []Position{{Name: "North", Distance: 120, Bearing: -12.5}, {Name: "Hand", HandFired: true}},
		Modules:      []Module{{"M1", 16, 50 * time.Millisecond}},
		Speakers:     []Speaker{{"Main", 30.5, 3, 12 * time.Millisecond}},
		Audiences:    []Audience{{"Terrace", 80, -90}},
		Air:          Air{-5},
		Decided:      []Decision{{"separation", "North", "the operator in charge", "the terrace stays empty"}},
		Ready:        []Ask{{Who: "Spotter", What: "Anybody there?"}, {Who: "Fire watch", What: "Way free?", Keeps: true}},
		MakeSafe:     MakeSafe{Wait: 20 * time.Minute, Crew: []string{"Ada", "Ben"}},
		Tracks:       []Track{{"tracks/code.wav", "music", "timecode 25 01:00:00:00"}},
		Players:      []Player{{"Desk", "tracks/code.wav"}},
		FieldDevices: 5,
		CrewLost:     LostGoesOn,
		Cues: []Cue{
			{ID: "w", EffectAt: 5 * time.Second, Position: "Hand", Effect: "comet", Family: FamilyComet, Line: 4},
			{
				ID: "A1", EffectAt: 83250 * time.Millisecond, Prefire: 2200 * time.Millisecond, Burn: 3 * time.Second,
				Position: "North", Module: "M1", Pin: 3, Effect: "willow shells", Family: FamilyShell, Caliber: 75.5,
				Note: `with a "quote", and more`, Line: 2,
			},
		},
		// Reference: sha256sum of the same bytes.
		CuesSHA256: "e27749238c6b27d7260949660e99609da6efbddc431b716bdc4c458273bc8a05",
	}
	if !reflect.DeepEqual(s, want) {
		t.Errorf("got  %+v\nwant %+v", s, want)
	}
}

// TestOldKey: a key by the name that it had before is read, and told.
func TestOldKey(t *testing.T) {
	const cues = "cue,effect_at,position\n1,9,A\n"
	s, problems := LoadAll(folderOf("expect_devices = 3\n"+smallShow, cues))
	wantProblems(t, problems, `key show.toml:1:1: found the key "expect_devices", which has another name now; wanted field_devices`)
	if s == nil || s.FieldDevices != 3 || problems.Stop() {
		t.Errorf("%+v; want the show with 3 devices, and a warning", s)
	}
	_, problems = LoadAll(folderOf("expect_devices = -3\n"+smallShow, cues))
	wantProblems(t, problems, `key show.toml:1:1: found the key`, "range show.toml:1:1: found the number -3 as field_devices")
	_, problems = LoadAll(folderOf("field_devices = 3\nexpect_devices = 4\n"+smallShow, cues))
	wantProblems(t, problems, "duplicate show.toml:2:1: found what field_devices says too as expect_devices; wanted one line, field_devices")
}

func TestLoadDefaults(t *testing.T) {
	s, problems := LoadAll(folderOf("cues = \"cues.csv\"\n[soundtrack]\nfile = \"music.wav\"\n",
		"cue,effect_at,position,module\n1,9,B,M2\n2,3,A,M1\n3,12,B,M2\n"))
	wantProblems(t, problems)
	if want := (Console{Guard: 150 * time.Millisecond, NudgeLimit: 10 * time.Second, Lanes: "position", Together: 6}); !reflect.DeepEqual(s.Console, want) {
		t.Errorf("console %+v, want %+v", s.Console, want)
	}
	if s.Air.TemperatureC != 15 || s.Witness != nil || s.Title != "" {
		t.Errorf("got air %v, witness %v, title %q; want 15, none, none", s.Air, s.Witness, s.Title)
	}
	if want := []Position{{Name: "B"}, {Name: "A"}}; !reflect.DeepEqual(s.Positions, want) {
		t.Errorf("positions %v, want %v: as the list names them", s.Positions, want)
	}
	if want := []Module{{Name: "M2"}, {Name: "M1"}}; !reflect.DeepEqual(s.Modules, want) {
		t.Errorf("modules %v, want %v: as the list names them", s.Modules, want)
	}
}

func TestCuesAreInFiringOrder(t *testing.T) {
	s, err := Load(folderOf(smallShow, "cue,effect_at,prefire,position\n"+
		"late,9,,A\nlong,10,4,A\ntie,8,2,A\nfirst,6,1,A\n"))
	if err != nil {
		t.Fatal(err)
	}
	var ids []string
	for _, c := range s.Cues {
		ids = append(ids, c.ID)
	}
	if want := []string{"first", "long", "tie", "late"}; !slices.Equal(ids, want) {
		t.Errorf("order %v, want %v", ids, want)
	}
}

func TestLoadCollectsEverything(t *testing.T) {
	_, err := Load(folderOf("cues = \"cues.csv\"\n[console]\nguard = \"5ms\"\ngurad = 1\n",
		"cue,effect_at,position\n1,1:7x.3,A\n1,5,\n"))
	var problems Problems
	if !errors.As(err, &problems) {
		t.Fatalf("error %v is no Problems", err)
	}
	wantProblems(t, problems,
		"missing show.toml: found no file under [soundtrack]; wanted a line such as file =",
		`range show.toml:3:1: found "5ms" as guard; wanted 20ms to 1s`,
		`key show.toml:4:1: found the unknown key "gurad" under [console]; wanted one of guard, nudge_limit, lanes, checklist, count_in, together; did you mean "guard"?`,
		`time cues.csv:2:3: found "1:7x.3" as effect_at; wanted seconds such as 83.250 or m:ss.mmm`,
		`duplicate cues.csv:3:1: found "1" (already on line 2) as cue; wanted an id of its own`,
		`missing cues.csv:3:5: found no position; wanted one in every line`,
	)
	if lines := strings.Split(err.Error(), "\n"); len(lines) != len(problems) {
		t.Errorf("the error has %d lines for %d problems", len(lines), len(problems))
	}
	var one Problem
	if !errors.As(err, &one) || one.Code != CodeMissing || one.Severity != SeverityStop {
		t.Errorf("errors.As finds %+v, want the first problem", one)
	}
}

func TestLoadMissingFiles(t *testing.T) {
	_, err := Load(fstest.MapFS{})
	if !errors.Is(err, fs.ErrNotExist) {
		t.Errorf("an empty folder: %v, want fs.ErrNotExist inside", err)
	}
	_, problems := LoadAll(fstest.MapFS{showFile: {Data: []byte(smallShow)}})
	wantProblems(t, problems, "file cues.csv: found no such file; wanted it in the show folder")
	_, problems = LoadAll(fstest.MapFS{showFile: {Data: []byte(smallShow)}, "cues.csv": {Mode: fs.ModeDir}})
	wantProblems(t, problems, "file cues.csv: found a file that cannot be read (")
}

func TestWitness(t *testing.T) {
	const cues = "cue,effect_at,prefire,position\n1,5.000,1,A\n"
	witness := func(at, cue string) string {
		return smallShow + "[witness]\nat = \"" + at + "\"\ncue = \"" + cue + "\"\n"
	}
	_, problems := LoadAll(folderOf(witness("5.500", "1"), cues))
	wantProblems(t, problems)
	s, problems := LoadAll(folderOf(witness("5.501", "1"), cues))
	wantProblems(t, problems, `witness show.toml:7:1: found the witness tone at 0:05.501 and its cue "1" at 0:05.000; wanted them at most 500ms apart`)
	if s == nil {
		t.Error("a warning kept the show from loading")
	}
	_, problems = LoadAll(folderOf(witness("5", "2"), cues))
	wantProblems(t, problems, `unknown show.toml:7:1: found no cue "2" in the cue list`)
	_, problems = LoadAll(folderOf(smallShow+"[witness]\n", cues))
	wantProblems(t, problems, "missing show.toml:5:2: found no at under [witness]", "missing show.toml:5:2: found no cue under [witness]")
}

func TestCheckLength(t *testing.T) {
	s, err := Load(folderOf(smallShow+"[witness]\nat = \"61\"\ncue = \"3\"\n",
		"cue,effect_at,prefire,position\n1,60,,A\n2,60.001,2,A\n3,61.000,0.999,A\n"))
	if err != nil {
		t.Fatal(err)
	}
	wantProblems(t, CheckLength(s, time.Minute),
		"late show.toml: found the witness at 1:01.000; wanted it before the music ends at 1:00.000",
		`late cues.csv:3: found the effect of cue "2" at 1:00.001`,
		`late cues.csv:4: found the ignition of cue "3" at 1:00.001`)
	if got := CheckLength(s, time.Minute); got[1].Severity != SeverityWarn || got[2].Severity != SeverityStop {
		t.Errorf("severities %v and %v, want warn and stop", got[1].Severity, got[2].Severity)
	}
	wantProblems(t, CheckLength(s, 61*time.Second))
	if n := len(CheckLength(s, math.MinInt64)); n != 4 {
		t.Errorf("%d problems with no music at all, want 4", n)
	}
}
