package crew

import (
	"crypto/rand"
	"crypto/sha256"
	"encoding/base32"
	"errors"
	"fmt"
	"net"
	"strings"

	"drylane/show"
	"drylane/show/crew"
)

// letters are those of codes and fingerprints, five bits each: none is taken for
// another. O is read as 0, I and L as 1.
const letters = "0123456789ABCDEFGHJKMNPQRSTVWXYZ"

var coding = base32.NewEncoding(letters).WithPadding(base32.NoPadding)

// A fingerprint is the beginning of the SHA-256 sum of the lead's certificate: 80
// bits, which nobody finds another certificate for in one evening, or ever.
const printBytes = 10

// codeBytes are 40 bits: at one wrong code a second it takes 17,000 years to try half
// of them.
const codeBytes = 5

// grouped is a text in fours.
func grouped(s string) string {
	var parts []string
	for len(s) > 4 {
		parts, s = append(parts, s[:4]), s[4:]
	}
	return strings.Join(append(parts, s), "-")
}

// plain takes groups apart again and reads letters as they were meant.
func plain(s string) string {
	return strings.NewReplacer("-", "", " ", "", "O", "0", "I", "1", "L", "1").Replace(strings.ToUpper(s))
}

// fingerprint is that of a certificate, as people read it.
func fingerprint(der []byte) string {
	sum := sha256.Sum256(der)
	return grouped(coding.EncodeToString(sum[:printBytes]))
}

// newCode makes a code for a kind of role.
func newCode(k crew.Kind) string {
	var b [codeBytes]byte
	rand.Read(b[:])
	return string(k) + "-" + grouped(coding.EncodeToString(b[:]))
}

// sameCode reports whether a code as it was typed is the one.
func sameCode(typed, code string) bool {
	kind, rest, ok := strings.Cut(typed, "-")
	wantKind, want, _ := strings.Cut(code, "-")
	return ok && strings.EqualFold(kind, wantKind) && equal(plain(rest), plain(want))
}

// kindOf is the kind of role that a code says it is for.
func kindOf(code string) (crew.Kind, bool) {
	kind, _, ok := strings.Cut(code, "-")
	for _, k := range crew.Kinds() {
		if strings.EqualFold(kind, string(k)) {
			return k, ok
		}
	}
	return "", false
}

// An Address is where a lead is, and by what it is known.
type Address struct {
	Host  string // host and port, or the URL of a server that is somebody else's
	Print string // its fingerprint
}

// Via reports whether a lead is reached over a server that is somebody else's.
func (a Address) Via() bool { return strings.Contains(a.Host, "://") }

// ParseAddress reads HOST:PORT/FINGERPRINT, or SERVER/FINGERPRINT where the server is
// somebody else's: nats:// or tls:// and HOST:PORT.
func ParseAddress(s string) (Address, error) {
	if strings.Contains(s, "://") {
		return parseVia(s)
	}
	host, print, ok := strings.Cut(s, "/")
	_, port, err := net.SplitHostPort(host)
	if err != nil || port == "" || host != show.Clean(host) {
		return Address{}, fmt.Errorf("found the address %q; wanted HOST:PORT/FINGERPRINT, as the lead's machine shows it", show.Shorten(s, 60))
	}
	if !ok {
		print = ""
	}
	if print, err = parsePrint(print); err != nil {
		return Address{}, err
	}
	return Address{host, print}, nil
}

// parsePrint reads the fingerprint of an address.
func parsePrint(s string) (string, error) {
	s = plain(s)
	switch {
	case s == "":
		return "", errors.New("found an address without the fingerprint; wanted HOST:PORT/FINGERPRINT, as the lead's machine shows it")
	case len(s) != printBytes*8/5:
		return "", fmt.Errorf("found a fingerprint of %d characters; wanted 16, as the lead's machine shows it", len(s))
	}
	if _, err := coding.DecodeString(s); err != nil {
		return "", fmt.Errorf("found the fingerprint %q; wanted letters and digits, as the lead's machine shows it", show.Shorten(s, 20))
	}
	return grouped(s), nil
}

func (a Address) String() string { return a.Host + "/" + a.Print }
