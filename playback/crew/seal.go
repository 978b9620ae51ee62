package crew

import (
	"crypto/rand"
	"crypto/sha256"
	"encoding/binary"
	"sync"

	"golang.org/x/crypto/nacl/box"
)

// What goes over a server that is somebody else's is sealed with NaCl's box
// (X25519, XSalsa20 and Poly1305; golang.org/x/crypto/nacl/box) between two machines:
// the lead, whose public key the fingerprint in its address is of, and a member, whose
// number is made from its own. So nobody else can read a message or make one, and what
// the server knows or does not know of roles does not matter.
//
// Within the seal stand a number that only grows, and what the message is: one that
// comes again, or under another subject, is not opened.

// sealed lengths, in bytes.
const (
	keyLength   = 32
	nonceLength = 24
	countLength = 8
)

// A keyPair is a machine's. It never leaves the process and is made anew each time.
type keyPair struct{ public, private *[keyLength]byte }

func newKeys() (keyPair, error) {
	public, private, err := box.GenerateKey(rand.Reader)
	return keyPair{public, private}, err
}

// number is the machine's number: 130 bits of a sum of its public key, so that whoever
// speaks under it has the private one.
func number(public *[keyLength]byte) string {
	sum := sha256.Sum256(append([]byte("drylane crew member "), public[:]...))
	return coding.EncodeToString(sum[:])[:tokenLength]
}

// A seal is one end of the way between two machines.
type seal struct {
	shared [keyLength]byte

	mu   sync.Mutex
	sent uint64
	came map[string]uint64 // the latest number of each kind of message
}

func newSeal(own keyPair, other *[keyLength]byte) *seal {
	s := &seal{came: map[string]uint64{}}
	box.Precompute(&s.shared, other, own.private)
	return s
}

// close seals a message of a kind. dir is which way it goes, so that none can be turned
// back on its sender.
func (s *seal) close(dir, what string, plain []byte) []byte {
	s.mu.Lock()
	s.sent++
	n := s.sent
	s.mu.Unlock()
	var nonce [nonceLength]byte
	rand.Read(nonce[:])
	inner := binary.BigEndian.AppendUint64(nil, n)
	inner = append(inner, byte(len(dir)+len(what)))
	inner = append(append(append(inner, dir...), what...), plain...)
	return box.SealAfterPrecomputation(nonce[:], inner, &nonce, &s.shared)
}

// open opens a message of a kind, once. ok is false for one that the other end has not
// sent, has sent as something else, or that has come before.
func (s *seal) open(dir, what string, data []byte) (plain []byte, ok bool) {
	if len(data) < nonceLength || len(data) > MaxMessage {
		return nil, false
	}
	inner, ok := box.OpenAfterPrecomputation(nil, data[nonceLength:], (*[nonceLength]byte)(data), &s.shared)
	name := dir + what
	if !ok || len(inner) < countLength+1+len(name) || int(inner[countLength]) != len(name) || string(inner[countLength+1:][:len(name)]) != name {
		return nil, false
	}
	n := binary.BigEndian.Uint64(inner)
	s.mu.Lock()
	defer s.mu.Unlock()
	if n <= s.came[what] {
		return nil, false
	}
	s.came[what] = n
	return inner[countLength+1+len(name):], true
}

// The ways that messages go.
const (
	toLead   = ">"
	fromLead = "<"
)
