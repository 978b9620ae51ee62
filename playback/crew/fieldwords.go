package crew

import (
	"fmt"
	"strings"
	"time"

	"drylane/playback/deck"
	"drylane/show/board"
	"drylane/show/timebase"
)

// fieldWords say how the field stands before an arming: what answers on the board, who is
// go, and who is out there, in so few words that they fit on a line.
func fieldWords(s *deck.Snapshot, now time.Time) string {
	var said []string
	out := 0
	if f := s.Field; f != nil {
		since := now.Sub(f.Opened)
		said = append(said, board.CountOf(f.Board.At(since)).String())
		out = len(f.Board.Out(since))
	}
	if s.Ready != nil {
		said = append(said, s.Ready.Count())
	}
	if s.Safe != nil {
		if left := s.Safe.Book.Left(now); left > 0 {
			said = append(said, "wait "+timebase.ClockUp(left))
		}
		switch in := s.Safe.Book.In(); {
		case len(in) == 1 && out == 0:
			said = append(said, "in: "+in[0].Name)
		default:
			out += len(in)
		}
	}
	if out > 0 {
		said = append(said, fmt.Sprintf("%d in the field", out))
	}
	return strings.Join(said, "; ")
}
