package drill

import (
	"errors"
	"fmt"
	"strings"

	"drylane/show"
	"drylane/show/session"
)

// ErrNoDrill is the error of a session that was no drill.
var ErrNoDrill = errors.New("this session is no drill: there is nothing to score it by")

// FromLog scores the last run of a drill's log by the drill that the log
// carries. name is the log's, as people know it. The error is ErrNoDrill or
// ErrNotStarted, or says what is wrong with the log.
func FromLog(name string, log *session.Log) (*Result, error) {
	h := log.Header.Drill
	if h == nil {
		return nil, ErrNoDrill
	}
	d, err := Parse(h.Name, strings.NewReader(h.File))
	if err != nil {
		return nil, fmt.Errorf("the drill in the log does not read: %w", err)
	}
	res, err := Score(log, d.Draw(h.Seed))
	if err != nil {
		return nil, err
	}
	res.Session = show.Shorten(name, textLimit)
	return res, nil
}
