package crew

import (
	"crypto/sha256"
	"fmt"
	"net"
	"strings"
	"sync"
	"time"

	"drylane/show/crew"

	"github.com/nats-io/nats-server/v2/server"
)

// A door lets machines in: it is what the server asks at each connection. A machine
// that has been let in comes back with its own secret, for which no code is needed.
type door struct {
	lead  string // the lead's own secret
	once  bool   // a code lets in one machine, and then there is another
	now   func() time.Time
	wrong func(from string, so int) // told of wrong codes; must not wait

	mu    sync.Mutex
	codes map[crew.Kind]string
	known map[string]*guest // by number
	guess guesses
	kick  func(connection uint64) // ends a connection; nil before the server is there
}

// A guest is a machine that was let in.
type guest struct {
	secret     [sha256.Size]byte
	kind       crew.Kind
	connection uint64
	away       time.Time // it was sent away until then
}

// awayFor is how long a machine that was sent away stays out.
const awayFor = 2 * time.Second

// mostGuests is how many machines can be let in, those that came and went included.
const mostGuests = 1000

func newDoor(lead string, once bool, now func() time.Time) *door {
	d := &door{lead: lead, once: once, now: now, codes: map[crew.Kind]string{}, known: map[string]*guest{},
		wrong: func(string, int) {}}
	for _, k := range crew.Kinds() {
		d.codes[k] = newCode(k)
	}
	return d
}

// leadName is the user name of the lead itself.
const leadName = "lead"

// Check implements server.Authentication.
func (d *door) Check(c server.ClientAuthentication) bool {
	o := c.GetOpts()
	if o.Username == leadName {
		if !equal(o.Password, d.lead) {
			return false
		}
		all := &server.SubjectPermission{Allow: []string{"dl.>"}}
		c.RegisterUser(&server.User{Username: leadName, Permissions: &server.Permissions{Publish: all, Subscribe: all}})
		return true
	}
	kind, ok := d.admit(o.Username, o.Password, hostOf(c.RemoteAddress(), o.Name), c.GetID())
	if ok {
		c.RegisterUser(&server.User{Username: o.Username, Permissions: permit(o.Username, kind)})
	}
	return ok
}

// hostOf is where a machine is: for whom a page's relay speaks is what that, which is
// within this process and on no network, calls itself.
func hostOf(a net.Addr, name string) string {
	if a == nil {
		return "an unknown address"
	}
	if a.Network() == "pipe" {
		return name
	}
	host, _, err := net.SplitHostPort(a.String())
	if err != nil {
		return "an unknown address"
	}
	return host
}

// admit decides on a machine. word is its code, a space, and its own secret.
func (d *door) admit(id, word, from string, connection uint64) (crew.Kind, bool) {
	code, secret, ok := strings.Cut(word, " ")
	if !ok || !isToken(id) || !isToken(secret) {
		return "", false
	}
	sum := sha256.Sum256([]byte(secret))
	d.mu.Lock()
	defer d.mu.Unlock()
	g := d.known[id]
	if g != nil && (!equal(string(g.secret[:]), string(sum[:])) || d.now().Before(g.away)) {
		return "", false // the number of another machine, or one that was sent away
	}
	if g == nil || !kindIs(code, g.kind) { // a newcomer, or one that changes its role
		kind, ok := d.codeOf(code, from)
		if !ok {
			return "", false
		}
		if g == nil {
			if len(d.known) >= mostGuests {
				return "", false
			}
			g = &guest{secret: sum}
			d.known[id] = g
		}
		g.kind = kind
	}
	if old := g.connection; old != 0 && old != connection && d.kick != nil {
		go d.kick(old) // what it left behind
	}
	g.connection = connection
	return g.kind, true
}

func kindIs(code string, k crew.Kind) bool {
	kind, ok := kindOf(code)
	return ok && kind == k
}

// codeOf is the kind of role that a code lets in as. Wrong codes are counted.
func (d *door) codeOf(code, from string) (crew.Kind, bool) {
	now := d.now()
	if d.guess.shut(from, now) {
		d.wrong(from, d.guess.miss(from, now, false))
		return "", false
	}
	kind, ok := kindOf(code)
	if !ok || !sameCode(code, d.codes[kind]) {
		d.wrong(from, d.guess.miss(from, now, true))
		return "", false
	}
	d.guess.hit(from)
	if d.once {
		d.codes[kind] = newCode(kind)
	}
	return kind, true
}

// list is the codes as they are now.
func (d *door) list() map[crew.Kind]string {
	d.mu.Lock()
	defer d.mu.Unlock()
	codes := map[crew.Kind]string{}
	for k, c := range d.codes {
		codes[k] = c
	}
	return codes
}

// sendAway ends the connection of a machine. It may come back after awayFor.
func (d *door) sendAway(id string) {
	d.mu.Lock()
	defer d.mu.Unlock()
	g := d.known[id]
	if g == nil || d.kick == nil {
		return
	}
	g.away = d.now().Add(awayFor)
	go d.kick(g.connection)
}

// tokenLength is that of a machine's number and of its secret: 130 bits.
const tokenLength = 26

// isToken reports whether a text can be a machine's number, or its secret.
func isToken(s string) bool {
	if len(s) != tokenLength {
		return false
	}
	for _, r := range s {
		if !strings.ContainsRune(letters, r) {
			return false
		}
	}
	return true
}

// wrongWords says how often a wrong code came from there.
func wrongWords(from string, n int) string {
	if n == 1 {
		return "from " + from
	}
	return fmt.Sprintf("from %s, %d times", from, n)
}
