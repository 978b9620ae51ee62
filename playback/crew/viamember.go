package crew

import (
	"context"
	"errors"
	"fmt"
	"strings"
	"time"

	"github.com/nats-io/nats.go"
)

// A Knock is a Hello with the code, for the lead alone to read.
type Knock struct {
	Code string `json:"code"`
	Hello
}

func (k *Knock) clean() {
	short(maxText, &k.Code)
	k.Hello.clean()
}

// connectVia makes the connection over a server that is somebody else's.
func (m *Member) connectVia(ctx context.Context) (err error) {
	keys, err := newKeys()
	if err != nil {
		return err
	}
	m.id, m.public = number(keys.public), keys.public
	via, print := m.join.Via, m.join.Address.Print
	via.URL = m.join.Address.Host
	m.conn, err = via.connect(nats.ReconnectHandler(func(*nats.Conn) { m.put(hello, m.hello(m.name())) }))
	if err != nil {
		return err
	}
	lead := make(chan *[keyLength]byte, 1)
	_, err = m.conn.Subscribe(viaSubject(print, "to", m.id, askKeys), func(msg *nats.Msg) {
		if len(msg.Data) == keyLength && equal(fingerprint(msg.Data), print) {
			select {
			case lead <- (*[keyLength]byte)(msg.Data):
			default:
			}
		}
	})
	if err == nil {
		err = m.askForKey(ctx, lead, keys)
	}
	if err == nil {
		_, err = m.conn.Subscribe(viaSubject(print, "to", m.id, "*"), m.hearVia)
	}
	if err == nil {
		err = m.conn.FlushTimeout(dialWithin)
	}
	if err != nil {
		m.conn.Close()
	}
	return err
}

// askForKey asks for the lead's key until it comes: one with its fingerprint, and no
// other.
func (m *Member) askForKey(ctx context.Context, lead <-chan *[keyLength]byte, own keyPair) error {
	again := time.NewTicker(250 * time.Millisecond)
	defer again.Stop()
	for until := time.Now().Add(dialWithin); time.Now().Before(until); {
		m.conn.Publish(viaSubject(m.join.Address.Print, "from", m.id, askKeys), nil)
		select {
		case public := <-lead:
			m.seal = newSeal(own, public)
			return nil
		case <-ctx.Done():
			return ctx.Err()
		case <-again.C:
		}
	}
	return errors.New("no lead with the fingerprint of the address answers there; take the address anew from the lead's screen")
}

// hearVia opens what comes from the lead.
func (m *Member) hearVia(msg *nats.Msg) {
	what := string(deedOf(msg))
	if plain, ok := m.seal.open(fromLead, what, msg.Data); ok {
		msg.Data = plain
		m.hear(msg)
	}
}

// publishVia seals what is sent to the lead.
func (m *Member) publishVia(what string, v any) error {
	var front []byte
	if h, ok := v.(*Hello); ok && what == hello {
		v, front = &Knock{strings.ToUpper(m.join.Code), *h}, m.public[:]
	}
	return m.conn.Publish(viaSubject(m.join.Address.Print, "from", m.id, what), append(front, m.seal.close(toLead, what, pack(v))...))
}

// parseVia reads SERVER/FINGERPRINT, where SERVER is a URL.
func parseVia(s string) (Address, error) {
	at := strings.LastIndexByte(s, '/')
	print, err := parsePrint(s[at+1:])
	if err != nil {
		return Address{}, err
	}
	v := Via{URL: s[:at]}
	if err := v.check(); err != nil {
		return Address{}, fmt.Errorf("%w, then /FINGERPRINT", err)
	}
	return Address{v.URL, print}, nil
}
