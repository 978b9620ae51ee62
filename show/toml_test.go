package show

import (
	"fmt"
	"strings"
	"testing"
	"testing/fstest"
	"time"
)

const oneCue = "cue,effect_at,position\n1,10,A\n"

func TestShowFileProblems(t *testing.T) {
	for _, c := range []struct{ name, toml, want string }{
		{"syntax", "[x", "syntax show.toml:5:3: found what is not TOML (expected ']'"},
		{"duplicate table", "[air]\n[air]", "syntax show.toml:6:2: found what is not TOML (table air already exists)"},
		{"duplicate key", "[air]\ntemperature_c = 1\ntemperature_c = 2", "syntax show.toml:7:1: found what is not TOML (key temperature_c is already defined)"},
		{"control character", "[air] # \x01", "text show.toml:5:9: found the control character U+0001"},
		{"not UTF-8", "# caf\xe9", "text show.toml:5:6: found the byte 0xE9, which is not UTF-8"},
		{"unknown table", "[pozition]\nname = \"A\"", `key show.toml:5:2: found the unknown key "pozition"; wanted one of title, cues`},
		{"nearest table", "[speakers]", `key show.toml:5:2: found the unknown key "speakers"; wanted one of title, cues, field_devices, soundtrack, console, witness, position, module, speaker, air, track, player, audience, decided, ready, safe, radio, battery, calls, follow, crew; did you mean "speaker"?`},
		{"unknown key in second", "[[position]]\nname = \"A\"\n[[position]]\nname = \"B\"\n  Distance-m = 3", `key show.toml:9:3: found the unknown key "Distance-m" under [position]; wanted one of name, distance_m, bearing, hand_fired; did you mean "distance_m"?`},
		{"unknown dotted", "[air]\nwind.speed = 3", `key show.toml:6:1: found the unknown key "wind"`},
		{"unknown key inline", "[[player]]\nname = {temp = 3}\nfile = \"a\"", `type show.toml:6:1: found a table as name; wanted text in quotes`},
		{"top key under a table", "title = \"T\"", `key show.toml:5:1: found the unknown key "title" under [soundtrack]; wanted one of file, sha256`},
		{"sub-table", "[[position]]\nname = \"A\"\n[position.more]\nx = 1", `key show.toml:7:11: found the unknown key "more"`},
		{"hidden unknown", "\"a\\u001b[31m\" = 1", `key show.toml:5:1: found the unknown key "a[31m"`},

		{"guard number", "[console]\nguard = 150", `type show.toml:6:1: found the number 150 as guard; wanted a duration with its unit in quotes, such as "150ms"`},
		{"guard low", "[console]\nguard = \"19ms\"", `range show.toml:6:1: found "19ms" as guard; wanted 20ms to 1s`},
		{"guard high", "[console]\nguard = \"1001ms\"", `range show.toml:6:1:`},
		{"guard text", "[console]\nguard = \"short\"", `type show.toml:6:1: found "short" as guard`},
		{"nudge high", "[console]\nnudge_limit = \"10.1s\"", `range show.toml:6:1: found "10.1s" as nudge_limit; wanted 0s to 10s`},
		{"nudge negative", "[console]\nnudge_limit = \"-1s\"", `range show.toml:6:1:`},
		{"nudge tenth", "[console]\nnudge_limit = \"2.55s\"", `range show.toml:6:1: found "2.55s" as nudge_limit; wanted a whole number of steps of 100ms`},
		{"lanes", "[console]\nlanes = \"postion\"", `value show.toml:6:1: found "postion" as lanes; wanted one of position, module, effect; did you mean "position"?`},
		{"checklist text", "[console]\nchecklist = \"a\"", `type show.toml:6:1: found "a" as checklist; wanted a list`},
		{"checklist number", "[console]\nchecklist = [\"a\", 1]", `type show.toml:6:1: found the number 1 in the list as checklist`},
		{"checklist control", "[console]\nchecklist = [\"a\\u0007\"]", `text show.toml:6:1: found "a" with control or invisible characters as checklist`},
		{"count_in float", "[console]\ncount_in = 1.5", `type show.toml:6:1: found the number 1.5 as count_in; wanted a whole number`},
		{"count_in range", "[console]\ncount_in = -1", `range show.toml:6:1: found the number -1 as count_in`},

		{"nan", "[air]\ntemperature_c = nan", `range show.toml:6:1: found the number NaN as temperature_c; wanted -40 to 50`},
		{"inf", "[air]\ntemperature_c = -inf", `range show.toml:6:1: found the number -Inf as temperature_c`},
		{"hot", "[air]\ntemperature_c = 50.1", `range show.toml:6:1:`},
		{"time of day", "[air]\ntemperature_c = 05:00:00", `type show.toml:6:1: found a date or a time of day as temperature_c`},
		{"air text", "[air]\ntemperature_c = \"15\"", `type show.toml:6:1: found "15" as temperature_c; wanted a number`},
		{"air as value", "[soundtrack.file]", `syntax show.toml:5:2: found what is not TOML (key file should be a table, not a value)`},

		{"witness float", "[witness]\nat = 5.000\ncue = \"1\"", `type show.toml:6:1: found the number 5 as at; wanted a time in quotes, such as "5.000"`},
		{"witness time", "[witness]\nat = \"5,000\"\ncue = \"1\"", `time show.toml:6:1: found "5,000" as at; wanted seconds such as 83.250 or m:ss.mmm, with a point, not a comma`},
		{"witness cue", "[witness]\nat = \"10\"\ncue = 1", `type show.toml:7:1: found the number 1 as cue; wanted text in quotes, such as "1"`},

		{"position table", "[position]\nname = \"A\"", `type show.toml:5:2: found a table as position; wanted tables that each begin with a line [[position]]`},
		{"position no name", "[[position]]\nname = \"A\"\n[[position]]\nbearing = 1", `missing show.toml:7:3: found no name under [position]`},
		{"position name empty", "[[position]]\nname = \" \"\n[[position]]\nname = \"A\"", `missing show.toml:6:1: found an empty text as name`},
		{"position twice", "[[position]]\nname = \"A\"\n[[position]]\nname = \"A\"", `duplicate show.toml:8:1: found "A" (already on line 6) as name; wanted one of its own`},
		{"distance", "[[position]]\nname = \"A\"\ndistance_m = -1", `range show.toml:7:1: found the number -1 as distance_m`},
		{"hand_fired", "[[position]]\nname = \"A\"\nhand_fired = \"yes\"", `type show.toml:7:1: found "yes" as hand_fired; wanted true or false`},
		{"asked twice", "[[ready]]\nwho = \"Spotter\"\nasks = \"Ready?\"\n[[ready]]\nwho = \"Spotter\"\nasks = \"Sure?\"", `duplicate show.toml:9:1: found "Spotter" (already on line 6) as who; wanted one of its own`},
		{"asked nothing", "[[ready]]\nwho = \"Spotter\"", `missing show.toml:5:3: found no asks under [ready]; wanted a line such as asks = "Nobody in the fallout area?"`},
		{"asks key", "[[ready]]\nwho = \"Spotter\"\nask = \"Ready?\"\nasks = \"Ready?\"", `key show.toml:7:1: found the unknown key "ask" under [ready]; wanted one of who, asks, keeps; did you mean "asks"?`},
		{"safe key", "[safe]\nwaits = \"5m\"", `key show.toml:6:1: found the unknown key "waits" under [safe]; wanted one of wait, crew; did you mean "wait"?`},
		{"safe too long", "[safe]\nwait = \"3h\"", `range show.toml:6:1: found "3h" as wait; wanted 0s to 2h0m0s`},
		{"crew twice", "[safe]\ncrew = [\"Ada\", \"Ada\"]", `duplicate show.toml:6:1: found "Ada" a second time as crew; wanted each name once`},
		{"decided on nothing", "[[position]]\nname = \"A\"\n[[decided]]\nfinding = \"separation\"\nposition = \"B\"\nby = \"x\"\nwhy = \"y\"", `unknown show.toml:9:1: found "B" as position; wanted the name of a [[position]]`},
		{"decided by nobody", "[[position]]\nname = \"A\"\n[[decided]]\nfinding = \"separation\"\nposition = \"A\"\nwhy = \"y\"", `missing show.toml:7:3: found no by under [decided]; wanted a line such as by = "the operator in charge"`},
		{"decided without a reason", "[[position]]\nname = \"A\"\n[[decided]]\nfinding = \"separation\"\nposition = \"A\"\nby = \"x\"\nwhy = \" \"", `missing show.toml:11:1: found an empty text as why`},
		{"decided what", "[[position]]\nname = \"A\"\n[[decided]]\nfinding = \"seperation\"\nposition = \"A\"\nby = \"x\"\nwhy = \"y\"", `value show.toml:8:1: found "seperation" as finding; wanted one of separation; did you mean "separation"?`},
		{"decided key", "[[position]]\nname = \"A\"\n[[decided]]\nfinding = \"separation\"\nposition = \"A\"\nby = \"x\"\nwhi = \"y\"\nwhy = \"y\"", `key show.toml:11:1: found the unknown key "whi" under [decided]; wanted one of finding, position, by, why; did you mean "why"?`},
		{"decided twice", "[[position]]\nname = \"A\"\n[[decided]]\nfinding = \"separation\"\nposition = \"A\"\nby = \"x\"\nwhy = \"y\"\n[[decided]]\nfinding = \"separation\"\nposition = \"A\"\nby = \"x\"\nwhy = \"y\"", `duplicate show.toml:14:1: found "A" (already on line 9) as position`},
		{"audience no name", "[[audience]]\ndistance_m = 80", `missing show.toml:5:3: found no name under [audience]`},
		{"audience twice", "[[audience]]\nname = \"A\"\n[[audience]]\nname = \"A\"", `duplicate show.toml:8:1: found "A" (already on line 6) as name`},
		{"audience bearing", "[[audience]]\nname = \"A\"\nbearing = 361", `range show.toml:7:1: found the number 361 as bearing`},
		{"audience key", "[[audience]]\nname = \"A\"\nx = 1", `key show.toml:7:1: found the unknown key "x" under [audience]; wanted one of name, distance_m, bearing`},
		{"pins", "[[module]]\nname = \"M\"\npins = 0", `range show.toml:7:1: found the number 0 as pins`},

		{"crew lost", "[crew]\nlost = \"holds\"", `value show.toml:6:1: found "holds" as lost; wanted one of by role, hold, go on; did you mean "hold"?`},
		{"crew key", "[crew]\nlos = \"hold\"", `key show.toml:6:1: found the unknown key "los" under [crew]; wanted one of lost; did you mean "lost"?`},

		{"radio bare", "[radio]\nmhz = 868\nreceiver_dbm = -100", `missing show.toml:5:2: found no power_dbm under [radio]; wanted a line such as power_dbm = 10`},
		{"radio underground", "[radio]\nmhz = 868\npower_dbm = 10\nreceiver_dbm = -100\nfield_height_m = 0", `range show.toml:9:1: found the number 0 as field_height_m; wanted 0.05 to 200`},
		{"battery kind", "[battery]\nchemistry = \"led\"\ncapacity_ah = 7\nidle_a = 0\narmed_a = 0\non_site = \"1h\"", `value show.toml:6:1: found "led" as chemistry; wanted one of lead, lithium, nickel; did you mean "lead"?`},
		{"battery worn", "[battery]\nchemistry = \"lead\"\nhealth = 80\ncapacity_ah = 7\nidle_a = 0\narmed_a = 0\non_site = \"1h\"", `range show.toml:7:1: found the number 80 as health; wanted 0.1 to 1`},

		{"track no file", "[[track]]\nleft = \"silence\"", `missing show.toml:5:3: found no file under [track]`},
		{"track over music", "[[track]]\nfile = \"Music.wav\"", `duplicate show.toml:6:1: found "music.wav" (already the soundtrack) as file`},
		{"track over cues", "[[track]]\nfile = \"cues.csv\"", `duplicate show.toml:6:1: found "cues.csv" (already the cue list) as file`},
		{"tracks", "[[track]]\nfile = \"a.wav\"\n[[track]]\nfile = \"a.wav\"", `duplicate show.toml:8:1: found "a.wav" (already on line 6) as file`},
		{"player", "[[player]]\nname = \"P\"", `missing show.toml:5:3: found no file under [player]`},
	} {
		t.Run(c.name, func(t *testing.T) {
			_, problems := LoadAll(folderOf(smallShow+c.toml+"\n", oneCue))
			wantProblems(t, problems, c.want)
		})
	}
}

func TestShowFileRequires(t *testing.T) {
	_, problems := LoadAll(folderOf("", oneCue))
	wantProblems(t, problems, "file show.toml: found nothing: the file is empty")
	_, problems = LoadAll(folderOf("# nothing\n", oneCue))
	wantProblems(t, problems, "missing show.toml: found no cues; wanted a line such as cues = \"cues.csv\"", "missing show.toml: found no file under [soundtrack]")
	_, problems = LoadAll(folderOf("cues = \"cues.csv\"\nsoundtrack = \"a.wav\"\n", oneCue))
	wantProblems(t, problems, `type show.toml:2:1: found "a.wav" as soundtrack; wanted a table that begins with a line [soundtrack]`)
	_, problems = LoadAll(folderOf(smallShow+"sha256 = \"abc\"\n", oneCue))
	wantProblems(t, problems, `value show.toml:5:1: found "abc" as sha256; wanted the 64 hex digits`)
	_, problems = LoadAll(folderOf("\uFEFF"+smallShow, oneCue))
	wantProblems(t, problems)
}

// TestAsWritten: figures below one and lengths of any number of nanoseconds are taken as
// they are written.
func TestAsWritten(t *testing.T) {
	s, problems := LoadAll(folderOf(smallShow+"[console]\nguard = \"33.333333ms\"\n[battery]\nchemistry = \"lead\"\ncapacity_ah = 7\nidle_a = 0.1\narmed_a = 0.2\nfiring_a = 0.3\non_site = \"1h0m0.000000001s\"\n", oneCue))
	wantProblems(t, problems)
	if s.Console.Guard != 33333333 {
		t.Errorf("guard %d ns", s.Console.Guard)
	}
	if b := s.Battery; b == nil || b.IdleA != 0.1 || b.ArmedA != 0.2 || b.FiringA != 0.3 || b.OnSite != time.Hour+1 {
		t.Errorf("%+v", b)
	}
}

func TestInlineTables(t *testing.T) {
	for toml, want := range map[string]string{
		"position = [{name = \"A\"}, {name = \"A\"}]": `duplicate show.toml:1:28: found "A" (already on line 1) as name`,
		"position = [1, {name = \"A\"}]":              `type show.toml:1:1: found the number 1 as position`,
		"air = {temperature_c = 3, temp = 3}":         `key show.toml:1:27: found the unknown key "temp" under [air]`,
		"air.temp = 3":                                `key show.toml:1:5: found the unknown key "temp" under [air]`,
	} {
		_, problems := LoadAll(folderOf(toml+"\n"+smallShow, oneCue))
		wantProblems(t, problems, want)
	}
}

func TestPathsStayInside(t *testing.T) {
	for _, path := range []string{
		"/etc/passwd", "../cues.csv", "a/../cues.csv", "./cues.csv", "a//b", "a/", ".", "..", "a\\b", "C:cues.csv", "c:/cues.csv", "\\\\host\\share",
	} {
		_, problems := LoadAll(folderOf(fmt.Sprintf("cues = %q\n[soundtrack]\nfile = %q\n", path, path), oneCue))
		wantProblems(t, problems, "path show.toml:1:1: found "+Quote(path)+" as cues", "path show.toml:3:1: found "+Quote(path)+" as file")
	}
	for _, key := range []string{"[[track]]", "[[player]]\nname = \"P\""} {
		_, problems := LoadAll(folderOf(smallShow+key+"\nfile = \"../x.wav\"\n", oneCue))
		if len(problems) != 1 || problems[0].Code != CodePath {
			t.Errorf("%s: %v, want a path problem", key, problems)
		}
	}
}

func TestShowFileIsBounded(t *testing.T) {
	var many strings.Builder
	for i := range 5000 {
		fmt.Fprintf(&many, "key%d = 1\n", i)
	}
	_, problems := LoadAll(folderOf(many.String(), oneCue))
	if n := len(problems); n != maxProblems+1 || problems[n-1].Code != CodeMore {
		t.Errorf("%d problems, want %d and one that says there are more", n, maxProblems)
	}
	_, problems = LoadAll(folderOf(strings.Repeat("# comment\n", 30_000), oneCue))
	wantProblems(t, problems, "file show.toml:26215: found a file that is too large")
	_, problems = LoadAll(folderOf(smallShow+strings.Repeat("a.", 30_000)+"b = 1\n", oneCue))
	wantProblems(t, problems, `key show.toml:5:1: found the unknown key "a"`)
	_, problems = LoadAll(folderOf(smallShow+"a = "+strings.Repeat("[", 30_000)+"\n", oneCue))
	wantProblems(t, problems, "syntax show.toml:5:")
}

func FuzzShowFile(f *testing.F) {
	f.Add([]byte(newShow))
	f.Add([]byte(smallShow + "[[position]]\nname = \"A\"\n[position.x]\ny = {z = [{a = 1}]}\n"))
	f.Add([]byte("cues = \"../x\"\n[console]\nguard = nan\n[[a.b]]\n[[a.b.c]]\nd.e = 1\n"))
	f.Fuzz(func(t *testing.T, data []byte) {
		s, problems := LoadAll(fstest.MapFS{showFile: {Data: data}, "cues.csv": {Data: []byte(oneCue)}})
		checkProblems(t, problems, s == nil)
		for _, p := range problems {
			if p.File == showFile && p.Line > strings.Count(string(data), "\n")+1 {
				t.Errorf("%v is on a line after the end", p)
			}
		}
	})
}

// checkProblems holds what is true of all problems of a load.
func checkProblems(t *testing.T, problems Problems, refused bool) {
	t.Helper()
	if problems.Stop() != refused {
		t.Errorf("refused %v, with %v", refused, problems)
	}
	for _, p := range problems {
		if msg := p.Error(); Clean(msg) != msg || len(msg) > 2000 {
			t.Errorf("the message is not fit to print: %q", msg)
		}
	}
}
