package crew

import (
	"crypto/ecdsa"
	"crypto/elliptic"
	"crypto/rand"
	"crypto/subtle"
	"crypto/tls"
	"crypto/x509"
	"crypto/x509/pkix"
	"errors"
	"math/big"
	"time"
)

// certificateFor is how long a certificate is good: nobody rehearses longer.
const certificateFor = 7 * 24 * time.Hour

// ownCertificate makes the certificate of one rehearsal. Its key never leaves this
// process.
func ownCertificate(now time.Time) (tls.Certificate, error) {
	key, err := ecdsa.GenerateKey(elliptic.P256(), rand.Reader)
	if err != nil {
		return tls.Certificate{}, err
	}
	serial, err := rand.Int(rand.Reader, new(big.Int).Lsh(big.NewInt(1), 120))
	if err != nil {
		return tls.Certificate{}, err
	}
	der, err := x509.CreateCertificate(rand.Reader, &x509.Certificate{
		SerialNumber: serial, Subject: pkix.Name{CommonName: "drylane crew"}, DNSNames: []string{"drylane.crew"},
		NotBefore: now.Add(-24 * time.Hour), NotAfter: now.Add(certificateFor), // clocks differ
		KeyUsage: x509.KeyUsageDigitalSignature, ExtKeyUsage: []x509.ExtKeyUsage{x509.ExtKeyUsageServerAuth},
	}, &x509.Certificate{SerialNumber: serial, Subject: pkix.Name{CommonName: "drylane crew"}}, &key.PublicKey, key)
	return tls.Certificate{Certificate: [][]byte{der}, PrivateKey: key}, err
}

// errStrangeLead is the error of a certificate with another fingerprint.
var errStrangeLead = errors.New("another machine answers there: its fingerprint is not the one in the address; take the address anew from the lead's screen, and do not join this one")

// pinned is the configuration of a member that knows the lead by its fingerprint
// alone: no authority has signed it.
func pinned(print string) *tls.Config {
	return &tls.Config{
		MinVersion: tls.VersionTLS13, ServerName: "drylane.crew",
		InsecureSkipVerify: true, // what follows is stricter: one certificate and no other
		VerifyConnection: func(s tls.ConnectionState) error {
			if len(s.PeerCertificates) == 0 || !equal(fingerprint(s.PeerCertificates[0].Raw), print) {
				return errStrangeLead
			}
			return nil
		},
	}
}

// equal compares secrets without telling how much of them agrees.
func equal(a, b string) bool { return subtle.ConstantTimeCompare([]byte(a), []byte(b)) == 1 }
