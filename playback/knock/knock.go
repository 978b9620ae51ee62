// Package knock lets somebody at the same machine ask a drill to take a trainer.
//
// Nothing listens meanwhile. A drill leaves a notice in a folder of the user's that nobody
// else can enter (Post), and looks there for a knock, which is a file as well. Only then
// does it open its door, and it answers with what there is to join with, in a file that
// the user alone can read and that the one who knocked takes away (Knock):
//
//	PID.drill          the notice: which drill and show; it is touched every second
//	PID.WORD.knock     somebody wants to come in; the drill takes it away
//	PID.WORD.door      ... once the answer is there
//
// A notice that has not been touched for a while was left behind, and goes.
package knock

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"time"

	"drylane/show"
)

// Version is the version of the files.
const Version = 1

// How the files end.
const (
	noticeEnd = ".drill"
	knockEnd  = ".knock"
	doorEnd   = ".door"
)

const (
	lookEvery  = 200 * time.Millisecond // for a knock
	waitEvery  = 20 * time.Millisecond  // for the answer
	touchEvery = time.Second
	staleAfter = 10 * time.Second
	answersIn  = 5 * time.Second // with the time that a door takes to open
	maxFile    = 64 << 10        // bytes
	maxText    = 200             // characters of a title, or of why a door stays shut
)

// A Notice says which drill there is.
type Notice struct {
	Version int    `json:"drylane_drill"`
	PID     int    `json:"pid"`
	Show    string `json:"show"`            // its title
	Drill   string `json:"drill,omitempty"` // its title
}

// An answer is what a door says: with Refused set nothing else counts.
type answer struct {
	Refused string          `json:"refused,omitempty"`
	Join    json.RawMessage `json:"join,omitempty"`
}

// ReadNotice reads a notice; its texts are fit for a terminal.
func ReadNotice(r io.Reader) (n Notice, err error) {
	err = read(r, &n)
	switch {
	case err != nil:
		return Notice{}, err
	case n.Version != Version:
		return Notice{}, fmt.Errorf("found version %d of a notice; wanted %d: take the same drylane for both", n.Version, Version)
	case n.PID <= 0:
		return Notice{}, fmt.Errorf("found the process %d; wanted one", n.PID)
	}
	n.Show, n.Drill = show.Shorten(n.Show, maxText), show.Shorten(n.Drill, maxText)
	return n, nil
}

// readAnswer reads what a door says.
func readAnswer(r io.Reader) (join []byte, err error) {
	var a answer
	if err := read(r, &a); err != nil {
		return nil, err
	}
	if a.Refused != "" {
		return nil, errors.New(show.Shorten(a.Refused, maxText))
	}
	return a.Join, nil
}

// read reads all of a file into v.
func read(r io.Reader, v any) error {
	b, err := io.ReadAll(io.LimitReader(r, maxFile+1))
	if err != nil {
		return err
	}
	d := json.NewDecoder(bytes.NewReader(b))
	if err := d.Decode(v); err != nil || len(b) > maxFile {
		return errors.New("found a file that does not read; wanted one of a drill's")
	}
	return nil
}
