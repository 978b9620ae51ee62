package crew

import (
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"errors"
	"io"
	"net"
	"slices"
	"strconv"
	"time"

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
	Fingerprint string               `json:"fingerprint"`    // the whole SHA-256 sum of the certificate, in hex
	Once        bool                 `json:"once,omitempty"` // a code lets in one person
}

// Invitation returns what there is to join with. Safe to call from any goroutine.
func (l *Lead) Invitation() Invitation {
	i := Invitation{Codes: l.door.list(), Fingerprint: l.full, Once: l.cfg.Once}
	for _, host := range l.hosts() {
		i.Others = append(i.Others, Address{host, l.print}.String())
	}
	i.Address, i.Others = i.Others[0], i.Others[1:]
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

// hosts are the addresses of this machine that the server is reached at, the first
// first.
func (l *Lead) hosts() (hosts []string) {
	addr, ok := l.server.Addr().(*net.TCPAddr)
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
