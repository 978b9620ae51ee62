package rehearsal

import (
	"errors"
	"fmt"

	"drylane/playback/deck"
	"drylane/playback/inspect"
	"drylane/show"
	"drylane/show/board"
	"drylane/show/session"
)

// mostFaults is how many devices of a field board have something wrong with them, at
// most: as many as one evening may bring, and sometimes none.
const mostFaults = 3

// drawnField is the field of the show, with the faults that a seed plants in it.
func (r *Run) drawnField(seed uint64) board.Field {
	f := board.OfShow(r.Show, r.Plan.Length.At(r.Plan.Rate), inspect.Recorded(r.Folder))
	f.Seed = seed
	f.Plants = board.Draw(f.Devices, seed, mostFaults)
	return f
}

// withField gives a run its field board.
func (r *Run) withField(o Options, h *session.Header, cfg *deck.Config) {
	if o.Field == nil {
		return
	}
	field := r.drawnField(*o.Field)
	h.Field = &field
	cfg.Board = board.New(field)
}

// checkField holds a script's steps at the field board against whether there is one,
// and the words for what can be wrong.
func (o Options) checkField() error {
	for _, s := range o.Script {
		var err error
		switch s.Do.Kind {
		case show.KindMark:
			_, _, err = board.ParseMark(s.Do.Text)
		case show.KindRepair:
		default:
			continue
		}
		if err == nil && o.Field == nil {
			err = errors.New("found a step at the field board, and this run has none; wanted --field SEED")
		}
		if err != nil {
			return fmt.Errorf("script line %d: %w", s.Line, err)
		}
	}
	return nil
}
