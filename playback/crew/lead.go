package crew

import (
	"crypto/rand"
	"crypto/tls"
	"fmt"
	"maps"
	"net"
	"strconv"
	"strings"
	"sync"
	"sync/atomic"
	"time"

	"drylane/playback/deck"
	"drylane/show"
	"drylane/show/crew"
	"drylane/show/drill"
	"drylane/show/session"

	"github.com/nats-io/nats-server/v2/server"
	"github.com/nats-io/nats.go"
)

// A Run is what a crew takes part in; deck.Deck is one. All of it returns at once.
type Run interface {
	Snapshot() *deck.Snapshot
	CallHold(by show.By, member, reason string, cause show.Cause, at time.Time)
	LogCrew(session.Data)
	Commanded(cue int) bool
	Instruct(drill.Step, session.Data)
}

// Config is what a Lead works with.
type Config struct {
	Program string // name and version
	Title   string // of the show
	Drill   string // what others than trainers are told that it is; empty for a plain rehearsal
	Plan    *show.Plan
	Cues    []show.Cue // the list the plan was made from
	Lost    show.LostRule
	Copy    Copy // for those who play along
	Run     Run
	Gate    *Gate           // the deck's, too
	Listen  string          // HOST:PORT; port 0 for any that is free
	Once    bool            // a code lets in one person, and then there is another
	Via     Via             // a server of somebody else's to be reached over, in place of Listen
	Places  []session.Place // where a listener may stand, besides crew.AtMusic

	Training Training
	Only     crew.Kind // lets nobody in as anything else; empty: everybody in
}

// A Lead is the lead's end of the link.
type Lead struct {
	cfg    Config
	server *server.Server
	conn   *nats.Conn
	door   *door
	began  time.Time
	print  string
	full   string // the whole sum of its certificate, in hex

	bridge *bridge // nil: members connect to this machine

	in       chan message
	holds    holds
	board    atomic.Pointer[Board]
	trainers trainers
	cert     tls.Certificate
	page     atomic.Pointer[served] // nil: there is none
	taps     chan seatedTap
	listened atomic.Pointer[Listened] // nil: no taps yet

	closing chan struct{}
	closed  sync.Once
	wg      sync.WaitGroup

	// What follows belongs to the loop.
	roster  crew.Roster
	held    time.Time // since when the run is held, as it was last numbered
	seats   map[string]seat
	calls   map[string]int // the latest HOLD of each machine that was handed on
	asked   floods         // steps that trainers ask for
	dropped atomic.Int64
	flood   floods
	sent    sent
}

// A message is what came from a machine.
type message struct {
	id   string
	deed crew.Deed
	data []byte
	at   time.Duration
}

// Open makes the server and serves the crew until Close. Nothing listens before.
func Open(cfg Config) (*Lead, error) {
	l := &Lead{cfg: cfg, began: time.Now(), in: make(chan message, queued), calls: map[string]int{}, seats: map[string]seat{}, taps: make(chan seatedTap, queued), closing: make(chan struct{})}
	l.holds.wake = make(chan struct{}, 1)
	l.board.Store(&Board{})
	secret := newToken()
	l.door = newDoor(secret, cfg.Once, time.Now)
	l.door.wrong = l.wrongCode
	if cfg.Only != "" {
		maps.DeleteFunc(l.door.codes, func(k crew.Kind, _ string) bool { return k != cfg.Only })
	}
	if err := l.serve(); err != nil {
		return nil, err
	}
	if err := l.connect(secret); err != nil {
		l.Close()
		return nil, err
	}
	if err := l.reach(); err != nil {
		l.Close()
		return nil, err
	}
	l.wg.Add(2)
	go l.loop()
	go l.teach() // it may wait for the disk, and nobody waits for it
	go l.listen()
	return l, nil
}

// reach makes the lead reachable over a server that is somebody else's, if it is to be.
func (l *Lead) reach() (err error) {
	if l.cfg.Via == (Via{}) {
		return nil
	}
	if l.bridge, err = openBridge(l.cfg.Via, l.server, l.door); err == nil {
		l.print = l.bridge.print
	}
	return err
}

// newToken is a new number of a machine, or a secret.
func newToken() string {
	var b [tokenLength * 5 / 8]byte
	rand.Read(b[:])
	s := coding.EncodeToString(b[:])
	return s[:min(len(s), tokenLength)]
}

// serve starts the server.
func (l *Lead) serve() error {
	via := l.cfg.Via != (Via{})
	if via {
		if err := l.cfg.Via.check(); err != nil {
			return err
		}
		l.cfg.Listen = "127.0.0.1:0" // and not even there
	}
	host, port, err := net.SplitHostPort(l.cfg.Listen)
	n, e := strconv.Atoi(port)
	if err != nil || e != nil || n < 0 || n > 65535 {
		return fmt.Errorf("found %q to listen on; wanted HOST:PORT, or :PORT for all of this machine's addresses", show.Shorten(l.cfg.Listen, 60))
	}
	cert, err := ownCertificate(time.Now())
	if err != nil {
		return fmt.Errorf("no certificate can be made: %w", err)
	}
	l.cert = cert
	l.print, l.full = fingerprint(cert.Certificate[0]), wholePrint(cert.Certificate[0])
	o := options(host, n, cert)
	o.CustomClientAuthentication, o.DontListen = l.door, via
	if l.server, err = server.NewServer(o); err != nil {
		return fmt.Errorf("the crew's server cannot be made: %w", err)
	}
	l.door.kick = func(connection uint64) { l.server.DisconnectClientByID(connection) }
	l.server.Start()
	if !l.server.ReadyForConnections(dialWithin) {
		l.server.Shutdown()
		return fmt.Errorf("%s cannot be listened on; wanted a port that is free: --crew-at :0 takes any", l.cfg.Listen)
	}
	return nil
}

// options are those of a server that does one thing.
func options(host string, port int, cert tls.Certificate) *server.Options {
	if host == "" {
		host = "0.0.0.0"
	}
	if port == 0 {
		port = server.RANDOM_PORT
	}
	return &server.Options{
		Host: host, Port: port, ServerName: "drylane", NoLog: true, NoSigs: true, NoSystemAccount: true, DisableShortFirstPing: true,
		TLS: true, TLSTimeout: 3, AuthTimeout: 3, TLSHandshakeFirst: true,
		TLSConfig:  &tls.Config{MinVersion: tls.VersionTLS13, Certificates: []tls.Certificate{cert}},
		MaxPayload: MaxMessage, MaxControlLine: 1024, MaxConn: 2 * crew.MaxMembers, MaxSubs: 32, MaxPending: 1 << 20,
		WriteDeadline: 2 * time.Second, PingInterval: 2 * time.Second, MaxPingsOut: 2, MaxClosedClients: 1,
	}
}

// connect makes the lead's own connection, which goes through no network, and hears
// what members send.
func (l *Lead) connect(secret string) (err error) {
	l.conn, err = nats.Connect("", nats.InProcessServer(l.server), nats.UserInfo(leadName, secret), nats.Name("lead"),
		nats.MaxReconnects(-1), nats.ReconnectWait(10*time.Millisecond), nats.ErrorHandler(func(*nats.Conn, *nats.Subscription, error) {}))
	if err != nil {
		return fmt.Errorf("the crew's server does not answer: %w", err)
	}
	hear := func(what string, do nats.MsgHandler) {
		if err == nil {
			_, err = l.conn.Subscribe(fromMember+"*."+what, do)
		}
	}
	hear(string(crew.Hold), l.hearHold)
	hear(clock, l.tellTime)
	hear("*", func(m *nats.Msg) { // in the order in which they came
		if d := deedOf(m); d != crew.Hold && d != clock {
			l.queue(m, d)
		}
	})
	if err == nil {
		err = l.conn.Flush()
	}
	return err
}

// now is the lead's clock.
func (l *Lead) now() time.Duration { return time.Since(l.began) }

// sender is the number of the machine that sent a message: the server has seen to it
// that the subject is its own.
func sender(m *nats.Msg) string {
	id, _, _ := strings.Cut(strings.TrimPrefix(m.Subject, fromMember), ".")
	return id
}

// deedOf is the last word of a message's subject.
func deedOf(m *nats.Msg) crew.Deed {
	return crew.Deed(m.Subject[strings.LastIndexByte(m.Subject, '.')+1:])
}

// queue hands a message to the loop, or drops it where too many wait.
func (l *Lead) queue(m *nats.Msg, d crew.Deed) {
	select {
	case l.in <- message{sender(m), d, m.Data, l.now()}:
	default:
		l.dropped.Add(1)
	}
}

// tellTime answers a member's clock at once, and hands on that it is there.
func (l *Lead) tellTime(m *nats.Msg) {
	got := l.now()
	var a Ask
	if parse(m.Data, &a) != nil {
		return
	}
	l.conn.Publish(toMember+sender(m)+"."+clock, pack(&Tell{Sent: a.Sent, Got: got, Left: l.now()}))
	l.queue(m, clock) // it may overtake a deed, and changes nothing but that the machine is there
}

// wrongCode tells of a code that nobody has. It is called from the server's own
// goroutines.
func (l *Lead) wrongCode(from string, n int) {
	select {
	case l.in <- message{id: from, deed: wrong, at: time.Duration(n)}:
	default:
		l.dropped.Add(1)
	}
}

// wrong is the deed of a wrong code, which no subject has.
const wrong = "wrong code"

// Close says goodbye and takes the server away. A second call does nothing, and nor
// does one of a lead that is not there.
func (l *Lead) Close() {
	if l == nil {
		return
	}
	l.closed.Do(func() {
		close(l.closing)
		l.wg.Wait()
		l.bridge.close()
		if l.conn != nil {
			l.conn.Close()
		}
		l.server.Shutdown()
		if p := l.page.Load(); p != nil {
			p.close() // the last, so that its pages hear that the run is over
		}
	})
}
