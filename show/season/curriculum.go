package season

import (
	"io"
	"slices"
	"strings"
	"time"

	"drylane/show"
)

// A Curriculum is what a crew asks of its people.
type Curriculum struct {
	Title string
	Needs []Need
	Crew  []Member
}

// A Need is a drill that a role has to have done.
type Need struct {
	Drill  string // by its name
	Role   string // who needs it; empty: everybody
	Score  int    // the least that counts
	Times  int    // how often
	Within time.Duration
	// Signed asks for an assessor's signature on each run that counts.
	Signed bool
	Line   int
}

// A Member is one of the crew, with the roles that person has.
type Member struct {
	Name  string
	Roles []string
}

// has reports whether a need is one of the member's.
func (m Member) has(n Need) bool {
	return n.Role == "" || slices.ContainsFunc(m.Roles, func(r string) bool { return strings.EqualFold(r, n.Role) })
}

// Limits of a curriculum's file, and what holds where it is silent. How recent and how
// good is for the operator in charge: the defaults are from memory and no rule.
const (
	maxCurriculum = 256 << 10 // bytes
	maxDays       = 3660
	maxTimes      = 100
	defaultScore  = 70
	defaultDays   = 365
	day           = 24 * time.Hour
)

// Format says how a curriculum is written.
const Format = `title = "Harbour crew"

[[need]]
drill = "first-hold"    # the drill's name
role = "shooter"        # who needs it; left out: everybody
score = 70              # the least that counts
times = 1               # how often
days = 365              # no longer ago than that
signed = false          # true: only runs that an assessor signed

[[member]]
name = "Robin"          # as given to the drills with --person
roles = ["shooter", "spotter"]
`

// ParseCurriculum reads a curriculum's file, as Format has it. name is the file's
// own in messages. The error is a show.Problems with all that was found in one go.
func ParseCurriculum(name string, r io.Reader) (*Curriculum, error) {
	top, err := show.ReadTOML(name, r, maxCurriculum)
	if err != nil {
		return nil, err
	}
	c := &Curriculum{Title: top.Text("title")}
	top.Need("need", `[[need]]: a drill that is asked for`)
	top.Need("member", `[[member]]: one of the crew`)
	for _, t := range top.List("need") {
		c.Needs = append(c.Needs, readNeed(t))
	}
	for _, t := range top.List("member") {
		c.Crew = append(c.Crew, c.readMember(t))
	}
	top.Done()
	if ps := top.Problems(); len(ps) > 0 {
		return nil, ps
	}
	return c, nil
}

func readNeed(t *show.Table) Need {
	defer t.Done()
	n := Need{
		Drill: t.Text("drill"), Role: t.Text("role"), Score: t.Whole("score", 0, 100), Times: max(1, t.Whole("times", 1, maxTimes)),
		Within: time.Duration(t.Number("days", 1, maxDays, defaultDays) * float64(day)),
		Signed: t.Flag("signed"), Line: t.Line(),
	}
	t.Need("drill", `drill = "first-hold"`)
	if !t.Has("score") {
		n.Score = defaultScore
	}
	return n
}

func (c *Curriculum) readMember(t *show.Table) Member {
	defer t.Done()
	m := Member{Name: t.Text("name"), Roles: t.Texts("roles")}
	t.Need("name", `name = "Robin"`)
	if slices.ContainsFunc(c.Crew, func(o Member) bool { return m.Name != "" && strings.EqualFold(o.Name, m.Name) }) {
		t.Note(show.CodeDuplicate, "name", show.Quote(m.Name), "each of the crew once")
	}
	for _, role := range m.Roles {
		if !slices.ContainsFunc(c.Needs, func(n Need) bool { return strings.EqualFold(n.Role, role) }) {
			t.Note(show.CodeUnknown, "roles", show.Quote(role), "the role of a [[need]]"+show.DidYouMean(role, c.roles()))
		}
	}
	return m
}

// roles are those that a need asks for.
func (c *Curriculum) roles() []string {
	var list []string
	for _, n := range c.Needs {
		if n.Role != "" && !slices.Contains(list, n.Role) {
			list = append(list, n.Role)
		}
	}
	return list
}
