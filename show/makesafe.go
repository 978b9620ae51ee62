package show

import "time"

// Limits of [safe], which keep slips of the pen out.
const (
	maxSafeWait = 2 * time.Hour
	maxCrew     = 100
)

// DefaultSafeWait is how long to wait after the last effect, or after making safe, before
// anybody goes in, where the operator has not said: from memory, and for the operator in
// charge and local rules to set. Things that have not gone may go late.
const DefaultSafeWait = 15 * time.Minute

// MakeSafe is what [safe] says of going into the field once the show has been made safe.
type MakeSafe struct {
	Wait time.Duration // before anybody goes in
	Crew []string      // who may be sent; empty: one for each position
}

func readMakeSafe(t *Table) MakeSafe {
	defer t.Done()
	return MakeSafe{Wait: t.duration("wait", 0, maxSafeWait, 1, DefaultSafeWait), Crew: ReadCrew(t)}
}

// ReadCrew reads the names of who may be sent into the field, each once.
func ReadCrew(t *Table) []string {
	crew := t.Texts("crew")
	if len(crew) > maxCrew {
		t.Note(CodeRange, "crew", "a list of more names", "100 at most")
		return nil
	}
	seen := map[string]bool{}
	for _, name := range crew {
		if seen[name] {
			t.Note(CodeDuplicate, "crew", Quote(name)+" a second time", "each name once")
		}
		seen[name] = true
	}
	return crew
}

// InField are the names of who may be sent into the field of the show: its crew, or
// where it names none, one for each position.
func (s *Show) InField() []string {
	if len(s.MakeSafe.Crew) > 0 {
		return s.MakeSafe.Crew
	}
	var names []string
	seen := map[string]bool{}
	add := func(name string) {
		if name != "" && !seen[name] {
			seen[name] = true
			names = append(names, name)
		}
	}
	for _, p := range s.Positions {
		add(p.Name)
	}
	for _, c := range s.Cues {
		add(c.Position)
	}
	return names
}
