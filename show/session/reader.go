package session

import (
	"bufio"
	"encoding/json"
	"errors"
	"fmt"
	"io"
)

// A Log is a session read back.
type Log struct {
	Header  Header
	Entries []Entry
	// Torn says that the last line was cut off, as when the machine lost
	// power in the middle of writing it. It was left out.
	Torn bool
}

// ErrNotASession is the error of a file that does not begin as a session.
var ErrNotASession = errors.New("not a drylane session")

// maxLine bounds one line; a header with 100,000 cues stays well below it.
const maxLine = 64 << 20

// Read reads a session. Any prefix of a session reads without an error, as
// long as it holds the header; errors name the line.
func Read(r io.Reader) (*Log, error) {
	br := bufio.NewReaderSize(r, 64<<10)
	var log Log
	for line := 1; ; line++ {
		text, whole, err := readLine(br)
		if err != nil {
			return nil, fmt.Errorf("line %d: %w", line, err)
		}
		if len(text) == 0 && !whole {
			if line == 1 {
				return nil, fmt.Errorf("%w: the file is empty", ErrNotASession)
			}
			return &log, nil
		}
		if line == 1 {
			if err := readHeader(text, whole, &log.Header); err != nil {
				return nil, err
			}
			continue
		}
		e, err := readEntry(text, &log.Header)
		if err != nil || !whole {
			if !whole {
				log.Torn = true
				return &log, nil
			}
			return nil, fmt.Errorf("line %d: found %.60q; wanted one event in JSON", line, text)
		}
		if want := int64(len(log.Entries) + 1); e.N != want {
			return nil, fmt.Errorf("line %d: found event %d; wanted event %d: lines are missing or doubled", line, e.N, want)
		}
		log.Entries = append(log.Entries, e)
	}
}

// ReadHeader reads the header of a session, and nothing behind it.
func ReadHeader(r io.Reader) (h Header, err error) {
	text, whole, err := readLine(bufio.NewReaderSize(r, 64<<10))
	if err != nil {
		return h, fmt.Errorf("line 1: %w", err)
	}
	err = readHeader(text, whole, &h)
	return h, err
}

func readHeader(text []byte, whole bool, h *Header) error {
	if err := json.Unmarshal(text, h); err != nil || h.Schema < 1 {
		return fmt.Errorf("%w: line 1 is not a session's header", ErrNotASession)
	}
	if h.Schema > Schema {
		return fmt.Errorf("the session has format %d, and this drylane reads up to %d: use a newer one", h.Schema, Schema)
	}
	if h.Soundtrack.Rate <= 0 || h.Soundtrack.Frames < 0 || !whole {
		return fmt.Errorf("%w: its header is damaged", ErrNotASession)
	}
	if h.Schema == 1 {
		h.Silent = h.Output == silence1
	}
	return nil
}

// readEntry reads a line in the format that the header has.
func readEntry(line []byte, h *Header) (e Entry, err error) {
	if h.Schema == 1 {
		e, err = read1(line, h.Soundtrack.Rate)
	} else {
		err = json.Unmarshal(line, &e)
	}
	if h.Schema < 3 {
		e.kind2()
	}
	return e, err
}

// readLine returns the next line without its newline; whole is false when the
// file ended before one.
func readLine(br *bufio.Reader) (text []byte, whole bool, err error) {
	for {
		part, err := br.ReadSlice('\n')
		text = append(text, part...)
		switch {
		case err == nil:
			return text[:len(text)-1], true, nil
		case errors.Is(err, io.EOF):
			return text, false, nil
		case !errors.Is(err, bufio.ErrBufferFull):
			return nil, false, err
		case len(text) > maxLine:
			return nil, false, fmt.Errorf("found a line of more than %d MiB; wanted a session", maxLine>>20)
		}
	}
}
