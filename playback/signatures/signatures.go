// Package signatures keeps what assessors signed: one append-only file in the user's
// data folder.
package signatures

import (
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"

	"drylane/playback/disk"
	"drylane/show"
	"drylane/show/season"

	"github.com/adrg/xdg"
	"github.com/rogpeppe/go-internal/lockedfile"
)

// Path is where the signatures are kept.
func Path() string { return filepath.Join(xdg.DataHome, "drylane", "signatures.jsonl") }

// Read reads the signatures at a path; none when there is no file. The error is a
// *season.ChainError where they do not hold.
func Read(path string) ([]season.Signature, error) {
	f, err := lockedfile.Open(path)
	if errors.Is(err, fs.ErrNotExist) {
		return nil, nil
	} else if err != nil {
		return nil, fmt.Errorf("%s: cannot be read: %w", show.Clean(path), disk.Plain(err))
	}
	defer f.Close()
	return season.ReadChain(show.Clean(path), f)
}

// Add signs at a path, and returns what was written. Another process that signs at the
// same time waits for its turn. Nothing is added to a chain that does not hold.
func Add(path string, s season.Signature) (signed season.Signature, err error) {
	if err := os.MkdirAll(filepath.Dir(path), 0o700); err != nil {
		return signed, fmt.Errorf("%s: cannot be made: %w", show.Clean(filepath.Dir(path)), disk.Plain(err))
	}
	f, err := lockedfile.OpenFile(path, os.O_RDWR|os.O_CREATE, 0o600)
	if err != nil {
		return signed, fmt.Errorf("%s: cannot be written: %w", show.Clean(path), disk.Plain(err))
	}
	defer func() { err = errors.Join(err, f.Close()) }()
	chain, err := season.ReadChain(show.Clean(path), f)
	if err != nil {
		return signed, err
	}
	signed, line, err := season.Sign(chain, s)
	if err != nil {
		return signed, err
	}
	if _, err := f.Seek(0, io.SeekEnd); err != nil {
		return signed, err
	}
	if _, err := f.Write(line); err != nil {
		return signed, err
	}
	return signed, f.Sync()
}

// Sum is the SHA-256 of a session log in a folder, in lower-case hex.
func Sum(dir, session string) (string, error) {
	f, err := disk.OpenFound(filepath.Join(dir, session), "session")
	if err != nil {
		return "", err
	}
	defer f.Close()
	h := sha256.New()
	if _, err := io.Copy(h, f); err != nil {
		return "", err
	}
	return hex.EncodeToString(h.Sum(nil)), nil
}
