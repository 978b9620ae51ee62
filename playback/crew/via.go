package crew

import (
	"errors"
	"fmt"
	"net/url"
	"strings"

	"drylane/show"

	"github.com/nats-io/nats.go"
)

// A Via is a NATS server, or several of a cluster, that somebody else runs and that
// stands between the lead and its members. The zero Via is none.
//
// The operator of that server lets the crew connect, over TLS above all, and may do more:
// give it an account of its own, and let it publish and hear drylane.> and nothing else.
// None of that is needed for what is said to be secret, whole and from whom it seems to
// be: see seal.go. Whoever else can connect there sees that somebody rehearses, how many
// take part, and how often which kind of message goes; and can be in the way, as by
// sending without end: then links are lost, and all stand held.
type Via struct {
	URL   string // nats://HOST:PORT or tls://HOST:PORT, several with commas between
	Creds string // a file with the user's credentials for that server; empty for none
	CA    string // a file with the certificates that server's may be signed by; empty for the system's
}

// check refuses what is no such server.
func (v Via) check() error {
	for one := range strings.SplitSeq(v.URL, ",") {
		u, err := url.Parse(strings.TrimSpace(one))
		if err != nil || u.Scheme != "nats" && u.Scheme != "tls" || u.Hostname() == "" || u.Path != "" && u.Path != "/" || one != show.Clean(one) {
			return fmt.Errorf("found the server %q; wanted nats://HOST:PORT or tls://HOST:PORT, several with commas between", show.Shorten(one, 60))
		}
	}
	return nil
}

// shown is the server without what lets its users in.
func (v Via) shown() string {
	list := strings.Split(v.URL, ",")
	for i, one := range list {
		if u, err := url.Parse(strings.TrimSpace(one)); err == nil {
			u.User, u.Path = nil, ""
			list[i] = u.String()
		}
	}
	return strings.Join(list, ",")
}

// connect connects to the server, and comes back by itself whenever the way is lost.
func (v Via) connect(more ...nats.Option) (*nats.Conn, error) {
	o := lasting(more...)
	if v.Creds != "" {
		o = append(o, nats.UserCredentials(v.Creds))
	}
	if v.CA != "" {
		o = append(o, nats.RootCAs(v.CA))
	}
	c, err := nats.Connect(strings.TrimSuffix(v.URL, "/"), o...)
	switch {
	case errors.Is(err, nats.ErrAuthorization), errors.Is(err, nats.ErrAuthExpired):
		return nil, fmt.Errorf("%s lets nobody in without its own user and password or --via-creds: ask who runs it", v.shown())
	case err != nil:
		return nil, fmt.Errorf("%s: no server answers there: %s", v.shown(), show.Shorten(err.Error(), maxText))
	}
	return c, nil
}

// viaSubject is where a message goes on such a server: of the rehearsal with that
// fingerprint, from or to a machine.
func viaSubject(print, way, id, what string) string {
	return "drylane." + print + "." + way + "." + id + "." + what
}

// askKeys is what a member asks before it knows the lead's key.
const askKeys = "keys"
