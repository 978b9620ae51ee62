package crew

import (
	"crypto/sha256"
	"crypto/tls"
	"encoding/hex"
	"encoding/json"
	"errors"
	"io"
	"net"
	"slices"
	"strconv"
	"strings"
	"time"

	"drylane/show"
	"drylane/show/crew"
)

// A Board is what the lead's console shows of the crew. It is never changed once it
// is there.
type Board struct {
	Lines     []Line
	At        time.Time // when it was so
	Waits     []string  // who has not acknowledged the hold that is on
	Forbids   string    // who refuses a resume, and why
	Asks      string    // who asks to have their position stood down, in words
	Listened  *Listened // what the listeners' taps tell; nil: nothing yet
	Wrong     int       // wrong codes so far
	WrongFrom string    // ... the latest
	WrongAt   time.Time // ... and when
}

// Board returns the latest board. Safe to call from any goroutine.
func (l *Lead) Board() *Board { return l.board.Load() }

// setBoard makes the board anew.
func (l *Lead) setBoard(c *Crew) {
	b := &Board{Lines: slices.Clone(c.Lines), At: time.Now(), Forbids: l.roster.Forbids(), Asks: crew.AskWords(l.roster.Asking()), Wrong: l.sent.wrong, WrongFrom: l.sent.wrongFrom, WrongAt: l.sent.wrongAt, Listened: l.listened.Load()}
	for _, m := range l.roster.Waiting() {
		b.Waits = append(b.Waits, m.Name)
	}
	l.board.Store(b)
}

// An Invitation is all that somebody needs to join.
type Invitation struct {
	Address     string               `json:"address"` // HOST:PORT/FINGERPRINT
	Others      []string             `json:"others,omitempty"`
	Codes       map[crew.Kind]string `json:"codes"`          // for each kind of role
	Fingerprint string               `json:"fingerprint"`    // the whole SHA-256 sum of the certificate, in hex; with Via it is that of the page alone
	Once        bool                 `json:"once,omitempty"` // a code lets in one person
	Page        string               `json:"page,omitempty"` // where telephones find their page; empty: there is none
	Positions   []string             `json:"positions,omitempty"`
}

// Link is what a telephone opens to join as that kind of role; at is the number of its
// position in Positions, counted from 1, or 0 where the person chooses. The code stands
// behind #, which no browser sends to anybody.
func (i Invitation) Link(k crew.Kind, at int) string {
	link := i.Page + "#" + i.Codes[k]
	if k == crew.Position && at > 0 {
		link += "." + strconv.Itoa(at)
	}
	return link
}

// PageKinds are the kinds of role that a telephone's page is for. A trainer needs more
// room.
func PageKinds() []crew.Kind {
	return []crew.Kind{crew.Position, crew.Safety, crew.Spotter, crew.Listener}
}

// served is a telephone's page.
type served struct {
	scheme string
	at     net.Addr
	close  func()
}

// Serves notes that a page for telephones is served, by https or http, and how that ends.
func (l *Lead) Serves(scheme string, at net.Addr, end func()) {
	l.page.Store(&served{scheme, at, end})
}

// Certificate is the one of this rehearsal, with its key, for what else this process
// serves.
func (l *Lead) Certificate() tls.Certificate { return l.cert }

// Positions are those of the show, in the order of the plan.
func (l *Lead) Positions() (names []string) {
	for _, g := range l.cfg.Plan.Groups {
		if g.By == show.LanesByPosition {
			names = append(names, g.Name)
		}
	}
	return names
}

// Invitation returns what there is to join with. Safe to call from any goroutine.
func (l *Lead) Invitation() Invitation {
	i := Invitation{Codes: l.door.list(), Fingerprint: l.full, Once: l.cfg.Once}
	if p := l.page.Load(); p != nil {
		i.Page, i.Positions = p.scheme+"://"+reachedAt(p.at)[0]+"/", l.Positions()
	}
	for _, host := range l.hosts() {
		i.Others = append(i.Others, Address{host, l.print}.String())
	}
	i.Address, i.Others = i.Others[0], i.Others[1:]
	return i
}

// For is the invitation for one kind of role alone.
func (i Invitation) For(k crew.Kind) Invitation {
	i.Codes = map[crew.Kind]string{k: i.Codes[k]}
	return i
}

// Here is the invitation for this machine: by the loopback address where there is one,
// which stays when a network goes.
func (i Invitation) Here() Invitation {
	for _, a := range i.Others {
		if strings.HasPrefix(a, "127.") {
			i.Address = a
		}
	}
	i.Others = nil
	return i
}

// JSON is the invitation for a script.
func (i Invitation) JSON() []byte {
	b, _ := json.MarshalIndent(i, "", "  ")
	return append(b, '\n')
}

// ReadInvitation reads what JSON wrote.
func ReadInvitation(r io.Reader) (Invitation, error) {
	data, err := io.ReadAll(io.LimitReader(r, MaxMessage+1))
	if err != nil {
		return Invitation{}, err
	}
	var i Invitation
	if err := parse(data, &i); err != nil || i.Address == "" {
		return Invitation{}, errors.New("found no address; wanted the file that the lead wrote with --crew-file")
	}
	return i, nil
}

// hosts are where the lead is reached, the best first.
func (l *Lead) hosts() []string {
	if l.bridge != nil {
		return []string{l.bridge.via.shown()}
	}
	return reachedAt(l.server.Addr())
}

// reachedAt are the addresses of this machine that what listens there is reached at, the
// best first.
func reachedAt(at net.Addr) (hosts []string) {
	addr, ok := at.(*net.TCPAddr)
	if !ok {
		return []string{"127.0.0.1:0"}
	}
	port := strconv.Itoa(addr.Port)
	if !addr.IP.IsUnspecified() {
		return []string{net.JoinHostPort(addr.IP.String(), port)}
	}
	list, _ := net.InterfaceAddrs()
	for _, a := range list {
		if ip, ok := a.(*net.IPNet); ok && ip.IP.To4() != nil && ip.IP.IsGlobalUnicast() {
			hosts = append(hosts, net.JoinHostPort(ip.IP.String(), port))
		}
	}
	return append(hosts, net.JoinHostPort("127.0.0.1", port))
}

// wholePrint is the SHA-256 sum of a certificate.
func wholePrint(der []byte) string {
	sum := sha256.Sum256(der)
	return hex.EncodeToString(sum[:])
}
