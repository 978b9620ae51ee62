package drill

import (
	"slices"
	"time"

	"drylane/show"
	"drylane/show/board"
)

// A BoardFault is what is wrong in the field before the show is armed. A drill that has
// one begins with the field board, whether or not chance leaves it out.
type BoardFault struct {
	board.Plant
	Chance float64 // of being there at all, 0 to 1
	Line   int     // in the file, from 1
}

// readBoards reads all [[board]].
func readBoards(tables []*show.Table) []BoardFault {
	var list []BoardFault
	for _, t := range tables {
		f := readBoard(t)
		if slices.ContainsFunc(list, func(g BoardFault) bool { return g.Device == f.Device }) && f.Device != "" {
			t.Note(show.CodeDuplicate, "device", show.Quote(f.Device)+" a second time", "each device once")
		}
		list = append(list, f)
	}
	return list
}

// readBoard reads one [[board]].
func readBoard(t *show.Table) BoardFault {
	defer t.Done()
	f := BoardFault{
		Plant:  board.Plant{Device: show.Clean(t.Text("device")), Fault: word(t, "fault", board.Faults())},
		Chance: t.Number("chance", leastChance, 1, 1),
		Line:   t.Line(),
	}
	t.Need("device", `device = "M1"`)
	t.Need("fault", `fault = "missing"`)
	return f
}

// checkBoard holds the faults in the field against the devices that the show needs.
func (d *Drill) checkBoard(s *show.Show) (ps show.Problems) {
	wants := board.Wants(s, nil)
	var names []string
	for _, w := range wants {
		names = append(names, w.Name)
	}
	for _, f := range d.Board {
		found, wanted := "the device "+show.Quote(f.Device), ""
		switch i := slices.Index(names, f.Device); {
		case f.Fault == board.Unplanned && i >= 0:
			wanted = "the name of a device that nobody planned"
		case f.Fault == board.Unplanned:
		case i < 0:
			wanted = "one that the show needs" + show.DidYouMean(f.Device, names)
		case !slices.Contains(board.FaultsOf(wants[i].Kind), f.Fault):
			found, wanted = show.Quote(string(f.Fault))+" for "+show.Quote(f.Device), "a fault that a "+wants[i].Kind.String()+" can have"
		}
		if wanted != "" {
			ps = append(ps, show.Problem{Severity: show.SeverityStop, Code: show.CodeUnknown, File: d.Name + ".toml", Line: f.Line, Found: found, Wanted: wanted})
		}
	}
	return ps
}

// drawBoard settles which of the faults in the field are there: a draw for each.
func (d *Drill) drawBoard(draw drawer) (plants []board.Plant) {
	for _, f := range d.Board {
		if draw.chance(f.Chance) {
			plants = append(plants, f.Plant)
		}
	}
	return plants
}

// Field is what the exercise's field board is made from, on a show whose soundtrack has
// that length; nil when it has none. hash is as for board.OfShow.
func (x *Exercise) Field(s *show.Show, length time.Duration, hash func(file string) string) *board.Field {
	if len(x.Drill.Board) == 0 {
		return nil
	}
	f := board.OfShow(s, length, hash)
	f.Seed, f.Plants = x.Seed, x.Board
	return &f
}
