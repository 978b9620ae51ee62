package cache

import (
	"bytes"
	"crypto/sha256"
	"fmt"
)

// maxHead is more than the first line of an entry takes, in bytes.
const maxHead = 1 << 10

// seal puts the line before b that says what it is, and its SHA-256.
func seal(k Key, b []byte) []byte {
	return append([]byte(head(k, b)), b...)
}

// unseal returns what seal was given, nil for anything that is not of this key, or
// not whole.
func unseal(k Key, b []byte) []byte {
	end := bytes.IndexByte(b[:min(len(b), maxHead)], '\n') + 1
	if rest := b[end:]; end > 0 && string(b[:end]) == head(k, rest) {
		return rest
	}
	return nil
}

func head(k Key, b []byte) string {
	return fmt.Sprintf("drylane cache 1, %s %d of %s: %d bytes, SHA-256 %x\n", k.What, k.Version, k.Content, len(b), sha256.Sum256(b))
}
