package season

import (
	"bufio"
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"time"

	"drylane/show"
)

// A Signature is an assessor's word for a session. Signatures stand in one file, a
// line of JSON each, and each holds the sum of the line before it: who changes, takes
// out or slips in a line breaks the chain from there on. Nothing keeps anybody from
// writing the whole chain anew; the last line's sum, noted elsewhere, shows that
// too.
type Signature struct {
	At      time.Time `json:"at"`
	Session string    `json:"session"`        // the log's file name
	SHA256  string    `json:"session_sha256"` // of the log as it was signed
	Person  string    `json:"person"`
	Drill   string    `json:"drill"`
	Score   int       `json:"score"`
	By      string    `json:"by"`
	Remark  string    `json:"remark,omitempty"`
	Before  string    `json:"before"` // the sum of the signature before; empty for the first
	Sum     string    `json:"sum"`    // of all the above
}

// sum is the SHA-256 of the signature without its Sum, as JSON, in lower-case hex.
func (s Signature) sum() string {
	s.Sum = ""
	b, err := json.Marshal(s)
	if err != nil {
		panic(err) // texts and numbers always can be written
	}
	h := sha256.Sum256(b)
	return hex.EncodeToString(h[:])
}

// Sign adds a signature to a chain that holds, and returns its line.
func Sign(chain []Signature, s Signature) (Signature, []byte, error) {
	s.Before = ""
	if n := len(chain); n > 0 {
		s.Before = chain[n-1].Sum
	}
	s.At = s.At.UTC().Truncate(time.Second)
	s.Sum = s.sum()
	line, err := json.Marshal(s)
	return s, append(line, '\n'), err
}

// A ChainError says where a chain does not hold.
type ChainError struct {
	File string
	Line int
	Why  string
}

func (e *ChainError) Error() string { return fmt.Sprintf("%s:%d: %s", e.File, e.Line, e.Why) }

// maxSignature bounds a line of the chain, in bytes.
const maxSignature = 64 << 10

// ReadChain reads signatures. The error is a *ChainError where one was changed, taken
// out or slipped in, or the last line is torn: then those before it are returned with it.
func ReadChain(name string, r io.Reader) ([]Signature, error) {
	var chain []Signature
	sc := bufio.NewScanner(r)
	sc.Buffer(nil, maxSignature)
	before := ""
	for n := 1; sc.Scan(); n++ {
		s, err := readSignature(sc.Bytes())
		switch {
		case err != nil:
			return chain, &ChainError{name, n, "found no signature; the file was changed or is torn"}
		case s.Before != before:
			return chain, &ChainError{name, n, "found a signature that does not follow the one before it; one was taken out or slipped in"}
		case s.Sum != s.sum():
			return chain, &ChainError{name, n, "found a signature that was changed after it was given"}
		}
		before = s.Sum
		chain = append(chain, s)
	}
	if err := sc.Err(); err != nil {
		return chain, fmt.Errorf("%s: %w", name, err)
	}
	return chain, nil
}

// readSignature reads a line, all of it: what stood behind a signature on its line would
// be signed by nobody.
func readSignature(line []byte) (s Signature, err error) {
	d := json.NewDecoder(bytes.NewReader(line))
	d.DisallowUnknownFields()
	if err := d.Decode(&s); err != nil {
		return s, err
	}
	if _, err := d.Token(); err != io.EOF {
		return s, errors.New("found more behind a signature on its line")
	}
	return s, nil
}

// String is the signature in one line.
func (s Signature) String() string {
	line := fmt.Sprintf("%s  %s  %s, %s, score %d: signed by %s", dayOf(s.At), show.Clean(s.Session), show.Clean(s.Person), show.Clean(s.Drill), s.Score, show.Clean(s.By))
	if s.Remark != "" {
		line += ": " + show.Clean(s.Remark)
	}
	return line
}
