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
	hear := []string{toMember + id + ".*"}
	for _, s := range crew.Sights() {
		if k.Sees(s) && s != crew.SeesOwn { // which is told to each machine by itself
			hear = append(hear, toAll+string(s))
		}
	}
	return &server.Permissions{Publish: &server.SubjectPermission{Allow: publish}, Subscribe: &server.SubjectPermission{Allow: hear}}
}
