package closeout

import (
	"fmt"
	"io"
	"slices"
	"strings"
	"time"

	"drylane/show"
)

// DefaultWait is how long to wait after the last effect before anybody goes in, where the
// search file does not say. From memory; local rules and the operator in charge decide,
// and may want far longer.
const DefaultWait = show.DefaultSafeWait

// A Search is what people say after the show.
type Search struct {
	Wait     time.Duration // 0: not said
	Searched []Searched
	Marks    []Mark
	Finds    []Find
}

// A Searched is a position, who searched it, and when; By is empty while nobody did.
type Searched struct {
	Position string
	By       string
	At       string // as the searcher wrote it
	Line     int
}

// A Mark is what somebody says of a cue.
type Mark struct {
	Cue    string
	State  State // Seen, Dud or Dealt
	By     string
	Remark string
	Line   int
}

// A Find is a thing found that belongs to no cue that anybody can tell.
type Find struct {
	Where, What, By, Dealt string
}

// Format says how a search file is written.
const Format = `wait_minutes = 15          # before anybody goes in: the operator in charge decides

[[searched]]
position = "Quay"
by = "Robin"
at = "23:10"

[[mark]]
cue = "14"
state = "did not go"       # or seen or heard, or dealt with
by = "Robin"
remark = "shell still in the mortar, flooded and taken out"

[[find]]
where = "grass behind the Quay"
what = "75 mm shell, unbroken"
by = "Robin"
dealt = "flooded, handed to the operator"
`

// Limits of a search file.
const (
	maxSearch = 1 << 20 // bytes
	maxWait   = 24 * time.Hour
)

// ParseSearch reads a search file, as Format has it. name is the file's own in
// messages. The error is a show.Problems with all that was found in one go.
func ParseSearch(name string, r io.Reader) (*Search, error) {
	top, err := show.ReadTOML(name, r, maxSearch)
	if err != nil {
		return nil, err
	}
	s := &Search{Wait: time.Duration(top.Number("wait_minutes", 0, maxWait.Minutes(), 0) * float64(time.Minute))}
	for _, t := range top.List("searched") {
		s.Searched = append(s.Searched, Searched{t.Text("position"), t.Text("by"), t.Text("at"), t.Line()})
		t.Need("position", `position = "Quay"`)
		t.Need("by", `by = "Robin"`)
		t.Done()
	}
	for _, t := range top.List("mark") {
		m := Mark{Cue: t.Text("cue"), By: t.Text("by"), Remark: t.Text("remark"), Line: t.Line()}
		m.State = State(t.Choice("state", string(Dud), string(Seen), string(Dealt)))
		t.Need("cue", `cue = "14"`)
		t.Need("state", `state = "did not go"`)
		t.Need("by", `by = "Robin"`)
		t.Done()
		s.Marks = append(s.Marks, m)
	}
	for _, t := range top.List("find") {
		s.Finds = append(s.Finds, Find{t.Text("where"), t.Text("what"), t.Text("by"), t.Text("dealt")})
		t.Need("where", `where = "grass behind the Quay"`)
		t.Need("what", `what = "75 mm shell, unbroken"`)
		t.Need("by", `by = "Robin"`)
		t.Done()
	}
	top.Done()
	if ps := top.Problems(); len(ps) > 0 {
		return nil, ps
	}
	return s, nil
}

// take enters what people say. The error names the line that speaks of what the session
// does not have, or contradicts it; then the record is not to be used.
func (r *Record) take(s *Search) error {
	if s.Wait > 0 {
		r.Wait = s.Wait
	}
	r.Finds = s.Finds
	for _, d := range s.Searched {
		i := slices.IndexFunc(r.Searched, func(o Searched) bool { return strings.EqualFold(o.Position, d.Position) })
		if i < 0 {
			return fmt.Errorf("line %d: found the position %s; wanted one of the session's", d.Line, show.Quote(d.Position))
		}
		r.Searched[i].By, r.Searched[i].At = d.By, d.At
	}
	for _, m := range s.Marks {
		i := slices.IndexFunc(r.Pins, func(p Pin) bool { return p.ID == m.Cue })
		if i < 0 {
			return fmt.Errorf("line %d: found the cue %s; wanted one of the session's", m.Line, show.Quote(m.Cue))
		}
		p := &r.Pins[i]
		if p.State == Loaded && m.State != Dealt {
			return fmt.Errorf("line %d: found cue %s as %q; it was never commanded, so it is still loaded until dealt with", m.Line, show.Quote(m.Cue), m.State)
		}
		p.State, p.By, p.Remark = m.State, m.By, m.Remark
	}
	return nil
}
