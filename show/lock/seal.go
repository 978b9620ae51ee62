package lock

import (
	"crypto/sha256"
	"encoding/hex"
)

// A Seal tells whether a lock is as it was written. Its sum of itself shows what a
// person edits or a copy spoils; who means to deceive can make another.
type Seal uint8

// The seals.
const (
	Whole  Seal = iota // as it was written
	Older              // made by an older version: nobody can tell
	Broken             // edited or damaged since
)

// Words say in a sentence what is to be known of a lock that is not Whole.
func (s Seal) Words() string {
	switch s {
	case Older:
		return "it was made by an older version: nobody can tell whether it was edited since"
	case Broken:
		return "it was edited after it was written: its date, its title and its hashes need not be what was locked"
	}
	return ""
}

// seal holds what was read against its sum.
func (f *file) seal() Seal {
	switch {
	case f.Schema == unsealed && f.Sum == "":
		return Older
	case f.Schema == schema && f.Sum == f.Lock.sum():
		return Whole
	}
	return Broken
}

// sum is the SHA-256, in lower-case hex, of the lock's text without its sum.
func (l *Lock) sum() string {
	h := sha256.New()
	if encode(h, l) != nil { // of strings, numbers and a time that was read: never
		return ""
	}
	return hex.EncodeToString(h.Sum(nil))
}
