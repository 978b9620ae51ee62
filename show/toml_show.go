package show

import (
	"encoding/hex"
	"fmt"
	"io/fs"
	"slices"
	"strings"
	"time"
)

// showFile is the file that says what a show folder holds.
const showFile = "show.toml"

// Limits of show.toml. Those of guard, nudge_limit and temperature_c are the
// console's; the others catch slips of the pen.
const (
	minGuard       = 20 * time.Millisecond
	maxGuard       = time.Second
	nudgeStep      = 100 * time.Millisecond
	maxDelay       = 10 * time.Second
	maxMetres      = 20_000
	maxDegrees     = 360
	minCelsius     = -40
	maxCelsius     = 50
	defaultCelsius = 15
	maxPins        = 10_000
	maxCountIn     = 64
	maxTogether    = 1000
	maxDevices     = 100_000
)

// readShow reads everything but the cues from show.toml.
func readShow(t *Table, fsys fs.FS) *Show {
	s := &Show{}
	s.Title = t.Text("title")
	s.CuesFile = t.inside("cues")
	t.Need("cues", `cues = "cues.csv"`)
	t.Renamed("expect_devices", "field_devices")
	s.FieldDevices = t.Whole("field_devices", 0, maxDevices)
	s.Soundtrack = readSoundtrack(t.Sub("soundtrack"))
	s.Console = readConsole(t.Sub("console"))
	s.Witness = readWitness(t)
	s.Positions = readPositions(t.List("position"))
	s.Modules = readModules(t.List("module"))
	s.Speakers = readSpeakers(t.List("speaker"))
	s.Air = readAir(t.Sub("air"))
	s.Tracks = readTracks(t.List("track"), s)
	s.Players = readPlayers(t.List("player"))
	s.Audiences = readAudiences(t.List("audience"))
	s.Decided = readDecisions(t.List("decided"), s.Positions)
	s.Ready = ReadReady(t.List("ready"))
	s.MakeSafe = readMakeSafe(t.Sub("safe"))
	s.Radio = readRadio(t)
	s.Battery = readBattery(t)
	s.Calls = readCalls(t, fsys)
	s.Follow = readFollow(t)
	s.CrewLost = readCrew(t.Sub("crew"))
	t.Done()
	return s
}

func readSoundtrack(t *Table) Soundtrack {
	defer t.Done()
	st := Soundtrack{File: t.inside("file"), SHA256: strings.ToLower(t.Text("sha256"))}
	t.Need("file", `file = "soundtrack.wav"`)
	if b, err := hex.DecodeString(st.SHA256); err != nil || len(b) != 0 && len(b) != 32 {
		t.Note(CodeValue, "sha256", Quote(st.SHA256), "the 64 hex digits of a SHA-256 sum")
	}
	return st
}

func readConsole(t *Table) Console {
	defer t.Done()
	return Console{
		Guard:      t.duration("guard", minGuard, maxGuard, 1, DefaultGuard),
		NudgeLimit: t.duration("nudge_limit", 0, DefaultNudgeLimit, nudgeStep, DefaultNudgeLimit),
		Lanes:      t.Choice("lanes", LanesByPosition, LanesByModule, LanesByFamily),
		Checklist:  t.Texts("checklist"),
		CountIn:    t.Whole("count_in", 0, maxCountIn),
		Together:   readTogether(t),
	}
}

func readCrew(t *Table) LostRule {
	defer t.Done()
	return LostRule(t.Choice("lost", string(LostByRole), string(LostHolds), string(LostGoesOn)))
}

func readTogether(t *Table) int {
	if n := t.Whole("together", 0, maxTogether); t.Has("together") {
		return n
	}
	return DefaultTogether
}

func readWitness(top *Table) *Witness {
	t := top.Sub("witness")
	defer t.Done()
	stops := t.counts[SeverityStop]
	w := Witness{At: t.Clock("at"), Cue: t.Text("cue")}
	if !top.Has("witness") {
		return nil
	}
	t.Need("at", `at = "5.000"`)
	t.Need("cue", `cue = "1"`)
	if t.counts[SeverityStop] > stops {
		return nil // nothing to hold against the cues
	}
	return &w
}

// each reads every table of a list, and notes the keys that read did not ask for.
func each[T any](tables []*Table, read func(*Table) T) []T {
	var list []T
	for _, t := range tables {
		list = append(list, read(t))
		t.Done()
	}
	return list
}

func readPositions(tables []*Table) []Position {
	names := names{}
	return each(tables, func(t *Table) Position {
		p := Position{Name: names.read(t, "name")}
		p.Distance, p.Bearing = readBearing(t)
		p.HandFired = t.Flag("hand_fired")
		return p
	})
}

// readBearing reads where something stands, as seen from the main audience.
func readBearing(t *Table) (metres, degrees float64) {
	return t.Number("distance_m", 0, maxMetres, 0), t.Number("bearing", -maxDegrees, maxDegrees, 0)
}

func readModules(tables []*Table) []Module {
	names := names{}
	return each(tables, func(t *Table) Module {
		return Module{
			Name:   names.read(t, "name"),
			Pins:   t.Whole("pins", 1, maxPins),
			MinGap: t.duration("min_gap", 0, maxDelay, 1, 0),
		}
	})
}

func readSpeakers(tables []*Table) []Speaker {
	names := names{}
	return each(tables, func(t *Table) Speaker {
		s := Speaker{Name: names.read(t, "name")}
		s.Distance, s.Bearing = readBearing(t)
		s.Delay = t.duration("delay", 0, maxDelay, 1, 0)
		return s
	})
}

func readAudiences(tables []*Table) []Audience {
	names := names{}
	return each(tables, func(t *Table) Audience {
		a := Audience{Name: names.read(t, "name")}
		a.Distance, a.Bearing = readBearing(t)
		return a
	})
}

// readDecisions reads who took what upon himself. A decision on what show.toml
// does not list is a stop: it is meant for something, and covers nothing.
func readDecisions(tables []*Table, positions []Position) []Decision {
	names := names{}
	return each(tables, func(t *Table) Decision {
		d := Decision{Finding: t.Choice("finding", DecideSeparation), Position: t.Text("position"), By: t.Text("by"), Why: t.Text("why")}
		t.Need("finding", `finding = "separation"`)
		t.Need("position", `position = "A"`)
		t.Need("by", `by = "the operator in charge"`)
		t.Need("why", `why = "the terrace stays empty"`)
		names.once(t, "position", d.Position)
		if d.Position != "" && !slices.ContainsFunc(positions, func(p Position) bool { return p.Name == d.Position }) {
			t.Note(CodeUnknown, "position", Quote(d.Position), "the name of a [[position]]")
		}
		return d
	})
}

func readAir(t *Table) Air {
	defer t.Done()
	return Air{TemperatureC: t.Number("temperature_c", minCelsius, maxCelsius, defaultCelsius)}
}

// readTracks reads the companion tracks, which are written: none may stand
// where a file of the show does.
func readTracks(tables []*Table, s *Show) []Track {
	files := names{
		showFile:                           "the show file",
		strings.ToLower(s.CuesFile):        "the cue list",
		strings.ToLower(s.Soundtrack.File): "the soundtrack",
	}
	return each(tables, func(t *Table) Track {
		track := Track{File: t.inside("file"), Left: t.Text("left"), Right: t.Text("right")}
		t.Need("file", `file = "timecode.wav"`)
		files.once(t, "file", strings.ToLower(track.File)) // many disks ignore case
		return track
	})
}

func readPlayers(tables []*Table) []Player {
	names := names{}
	return each(tables, func(t *Table) Player {
		player := Player{Name: names.read(t, "name"), File: t.inside("file")}
		t.Need("file", `file = "soundtrack.wav"`)
		return player
	})
}

// names holds what is taken and by whom.
type names map[string]string

// read reads a name that is required and given once.
func (n names) read(t *Table, key string) string {
	name := t.Text(key)
	t.Need(key, key+` = "A"`)
	n.once(t, key, name)
	return name
}

// once notes a problem when another table, or another file, has the name.
func (n names) once(t *Table, key, name string) {
	if name == "" {
		return
	}
	if owner, taken := n[name]; taken {
		t.Note(CodeDuplicate, key, Quote(name)+" (already "+owner+")", "one of its own")
		return
	}
	n[name] = fmt.Sprintf("on line %d", t.place(key).line)
}
