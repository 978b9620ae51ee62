// Package crew is what the people of a rehearsal may do and how they stand: roles,
// members, who has acknowledged a hold and who is lost. It is pure: times are given
// to it, and what happens comes back as events.
package crew

import (
	"errors"
	"fmt"
	"strings"

	"drylane/show"
)

// A Kind is the kind of a role. Its text is the word for it everywhere.
type Kind string

// The kinds of role.
const (
	Shooter  Kind = "shooter"  // at the console: the one who resumes
	Safety   Kind = "safety"   // sees all, and can refuse a resume
	Spotter  Kind = "spotter"  // sees all
	Trainer  Kind = "trainer"  // makes trouble in a drill
	Position Kind = "position" // somebody at a position, who sees its own cues
	Listener Kind = "listener" // somebody where the audience stands, who taps
)

// Kinds are the kinds of role that somebody can join with: the shooter has the
// console.
func Kinds() []Kind { return []Kind{Safety, Spotter, Position, Listener, Trainer} }

// A Role is what somebody does in the crew. Position is the name of one, for that
// kind alone.
type Role struct {
	Kind     Kind
	Position string
}

// AtMusic is the place of a listener who hears the music where it is made, or with it:
// beside a speaker, or from the lead's machine.
const AtMusic = "music"

// MaxName is how many characters the name of a member or of a position may have.
const MaxName = 24

// ParseRole reads a role as it is written: a kind, or position:NAME.
func ParseRole(s string) (Role, error) {
	word, name, named := strings.Cut(s, ":")
	r := Role{Kind: Kind(word), Position: strings.TrimSpace(show.Clean(name))}
	switch {
	case !r.Kind.joins():
		return Role{}, fmt.Errorf("found the role %q; wanted position:NAME, listener, spotter, safety or trainer", show.Shorten(s, 40))
	case r.Kind == Position && r.Position == "":
		return Role{}, errors.New("found a position without its name; wanted position:NAME")
	case r.Kind != Position && named:
		return Role{}, fmt.Errorf("found the name %q behind %s; wanted none", show.Shorten(name, MaxName), r.Kind)
	case len(r.Position) > 4*MaxName: // as many bytes as its characters can have
		return Role{}, fmt.Errorf("found a position's name of %d bytes; wanted the name of one in the show", len(r.Position))
	}
	return r, nil
}

// joins reports whether somebody can join as such.
func (k Kind) joins() bool {
	for _, known := range Kinds() {
		if k == known {
			return true
		}
	}
	return false
}

// String is the role as ParseRole reads it.
func (r Role) String() string {
	if r.Kind == Position {
		return string(r.Kind) + ":" + r.Position
	}
	return string(r.Kind)
}

// Words are the role for people: what is written, and of a position its name alone.
func (r Role) Words() string {
	if r.Kind == Position {
		return r.Position
	}
	return string(r.Kind)
}

// Named reports whether a name on the go / no-go list means a member of that name with
// this role: it is the member's own, the position's, or what the role is called there.
func (r Role) Named(member, who string) bool {
	return strings.EqualFold(who, member) || strings.EqualFold(who, r.Words()) || r.Kind == Safety && strings.EqualFold(who, "safety officer")
}
