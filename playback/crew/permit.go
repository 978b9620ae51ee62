package crew

import (
	"drylane/show/crew"

	"github.com/nats-io/nats-server/v2/server"
)

// The subjects.
const (
	fromMember = "dl.from."
	toMember   = "dl.to."
	toAll      = "dl.all."
	hello      = "hello"
	welcome    = "welcome"
	clock      = "clock"
	answer     = "answer"
)

// permit is what a machine may publish and hear as that kind of role: nothing else
// passes the server.
func permit(id string, k crew.Kind) *server.Permissions {
	own := func(what string) string { return fromMember + id + "." + what }
	publish := []string{own(hello), own(clock)}
	for _, d := range crew.Deeds() {
		if k.May(d) {
			publish = append(publish, own(string(d)))
		}
	}
	hear := heard(id, k, crew.Sights())
	return &server.Permissions{Publish: &server.SubjectPermission{Allow: publish}, Subscribe: &server.SubjectPermission{Allow: hear}}
}

// heard are the subjects on which the lead speaks to a machine with that kind of role: to
// it alone, and to all, of those sights.
func heard(id string, k crew.Kind, sights []crew.Sight) []string {
	subjects := []string{toMember + id + ".*"}
	for _, s := range sights {
		if k.Sees(s) && s != crew.SeesOwn { // which is told to each machine by itself
			subjects = append(subjects, toAll+string(s))
		}
	}
	return subjects
}
