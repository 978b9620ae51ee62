package show

import (
	"fmt"
	"io/fs"
	"slices"
	"time"

	"drylane/show/timebase"
)

// Load reads a show folder: show.toml and the cue list that it names. If
// anything in it makes the show unusable, the error is a Problems with everything
// that was found, warnings included; LoadAll gives the warnings of a good show
// too.
//
// Title is empty when show.toml gives none: the caller knows the folder's name.
// Positions and modules that show.toml does not list are those of the cue
// list, in its order. Load looks at no music: whoever opens the soundtrack, the
// tracks and the players' files finds out whether they exist. It is for the file
// system to refuse links that lead out of the folder, as os.Root does.
func Load(fsys fs.FS) (*Show, error) {
	s, problems := LoadAll(fsys)
	if s == nil {
		return nil, problems
	}
	return s, nil
}

// LoadAll is Load with every problem returned. The show is nil if and only if
// one of them is a SeverityStop.
func LoadAll(fsys fs.FS) (*Show, Problems) {
	s, problems := Read(fsys)
	if problems.Stop() {
		return nil, problems
	}
	return s, problems
}

// Read is LoadAll for callers that look for further problems where LoadAll gives
// up: the show is what could be read of it, and must not be run if
// problems.Stop(). It is nil when show.toml does not say what belongs to it.
func Read(fsys fs.FS) (*Show, Problems) {
	return ReadNaming(fsys, func(*Show) {})
}

// ReadNaming is Read for callers that have something to do meanwhile: named is told
// what show.toml says of the show before the cue list is read. It must neither keep
// the show nor change it.
func ReadNaming(fsys fs.FS, named func(*Show)) (*Show, Problems) {
	var f finder
	s := load(fsys, &f, named)
	return s, f.problems()
}

func load(fsys fs.FS, f *finder, named func(*Show)) *Show {
	t := readTOML(fsys, f)
	if t == nil {
		return nil
	}
	s := readShow(t, fsys)
	named(s)
	if s.CuesFile == "" {
		return nil
	}
	readCues(fsys, s, f)
	checkWitness(s, t, f)
	checkTracks(s, t, f)
	return s
}

// witnessReach is how far the witness tone may be from its cue's effect and
// still belong to it.
const witnessReach = 500 * time.Millisecond

// checkWitness holds the witness against the cue that it names.
func checkWitness(s *Show, t *Table, f *finder) {
	if s.Witness == nil || len(s.Cues) == 0 {
		return
	}
	at := t.places[join("witness", "cue")]
	problem := Problem{
		Severity: SeverityStop, Code: CodeUnknown, File: showFile, Line: at.line, Column: at.column,
		Found: "no cue " + Quote(s.Witness.Cue) + " in the cue list", Wanted: "the witness to name one of its cues",
	}
	i := slices.IndexFunc(s.Cues, func(c Cue) bool { return c.ID == s.Witness.Cue })
	if i < 0 {
		f.add(problem)
		return
	}
	if apart := (s.Witness.At - s.Cues[i].EffectAt).Abs(); apart > witnessReach {
		problem.Severity, problem.Code = SeverityWarn, CodeWitness
		problem.Found = fmt.Sprintf("the witness tone at %s and its cue %s at %s",
			timebase.ClockMillis(s.Witness.At), Quote(s.Witness.Cue), timebase.ClockMillis(s.Cues[i].EffectAt))
		problem.Wanted = fmt.Sprintf("them at most %s apart", witnessReach)
		f.add(problem)
	}
}

// CheckLength holds the show against the length of its music. A cue that
// ignites after the end, or a witness there, is a stop: it would never come.
// An effect after the end of the music is a warning.
func CheckLength(s *Show, length time.Duration) Problems {
	var f finder
	if s.Witness != nil && s.Witness.At > length {
		f.add(Problem{
			Severity: SeverityStop, Code: CodeLate, File: showFile,
			Found: "the witness at " + timebase.ClockMillis(s.Witness.At), Wanted: lengthWanted(length),
		})
	}
	for i := range s.Cues {
		c := &s.Cues[i]
		if c.IgniteAt() <= length && c.EffectAt <= length {
			continue
		}
		p := Problem{Code: CodeLate, File: s.CuesFile, Line: c.Line, Wanted: lengthWanted(length)}
		switch {
		case c.IgniteAt() > length:
			p.Severity = SeverityStop
			p.Found = fmt.Sprintf("the ignition of cue %s at %s", Quote(c.ID), timebase.ClockMillis(c.IgniteAt()))
		default:
			p.Severity = SeverityWarn
			p.Found = fmt.Sprintf("the effect of cue %s at %s", Quote(c.ID), timebase.ClockMillis(c.EffectAt))
		}
		f.add(p)
	}
	return f.problems()
}

func lengthWanted(length time.Duration) string {
	return "it before the music ends at " + timebase.ClockMillis(length)
}
