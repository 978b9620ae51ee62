package rehearsal

import (
	"errors"
	"fmt"

	"drylane/playback/deck"
	"drylane/playback/folder"
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

// withField gives a run its field board: the drill's, if it has one, or the one that
// was asked for.
func (r *Run) withField(o Options, h *session.Header, cfg *deck.Config) {
	switch {
	case r.Drill != nil:
		openBoard(r.Drill.field(r.Folder, r.Plan), h, cfg)
	case o.Field != nil:
		field := r.drawnField(*o.Field)
		if o.Short {
			shorten(&field)
		}
		openBoard(&field, h, cfg)
	}
}

// openBoard puts a field board into a run; nil for none.
func openBoard(f *board.Field, h *session.Header, cfg *deck.Config) {
	if f != nil {
		h.Field, cfg.Board = f, board.New(*f)
	}
}

// field is what the exercise's field board is made from; nil when it has none.
func (x *Exercise) field(f *folder.Folder, p *show.Plan) *board.Field {
	return x.drawn.Field(f.Show, p.Length.At(p.Rate), inspect.Recorded(f))
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
		if err == nil && o.Field == nil && (o.Drill == nil || len(o.Drill.Drill.Board) == 0) {
			err = errors.New("found a step at the field board, and this run has none; wanted --field SEED")
		}
		if err != nil {
			return fmt.Errorf("script line %d: %w", s.Line, err)
		}
	}
	return nil
}
