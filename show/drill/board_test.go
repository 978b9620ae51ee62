package drill

import (
	"strings"
	"testing"

	"drylane/show"
	"drylane/show/board"
)

const boardDrill = `title = "t"
level = 1
show = "demo"
briefing = "b"
`

// What is wrong with a [[board]], each told in its line.
func TestBoardProblems(t *testing.T) {
	measure := "[[measure]]\nwhat = \"faults missed\"\ngood = 0\n"
	for _, c := range []struct{ file, want string }{
		{"[[board]]\nfault = \"missing\"\n" + measure, `device = "M1"`},
		{"[[board]]\ndevice = \"M1\"\nfault = \"mising\"\n" + measure, `did you mean "missing"`},
		{"[[board]]\ndevice = \"M1\"\nfault = \"late\"\n[[board]]\ndevice = \"M1\"\nfault = \"missing\"\n" + measure, `"M1" a second time`},
		{measure, `found "faults missed" as what; wanted a [[board]] that it can look at`},
		{"[[board]]\ndevice = \"M1\"\nfault = \"late\"\nchance = 2\n" + measure, "chance"},
	} {
		if _, err := Parse("x.toml", strings.NewReader(boardDrill+c.file)); err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s\ngot %v, want %s", c.file, err, c.want)
		}
	}
}

// A fault must be one that the device of the show can have.
func TestBoardAgainstShow(t *testing.T) {
	s := &show.Show{Players: []show.Player{{Name: "desk", File: "music.wav"}}, Cues: []show.Cue{{ID: "1", Module: "M1", Pin: 1}}}
	for _, c := range []struct{ device, fault, want string }{
		{"M1", "open pin", ""},
		{"desk", "wrong file", ""},
		{"X9", "not planned", ""},
		{"M2", "missing", `the device "M2"; wanted one that the show needs`},
		{"M1", "wrong file", `"wrong file" for "M1"; wanted a fault that a module can have`},
		{"M1", "not planned", `the device "M1"; wanted the name of a device that nobody planned`},
	} {
		d := &Drill{Name: "x", Board: []BoardFault{{Plant: board.Plant{Device: c.device, Fault: board.Fault(c.fault)}, Line: 7}}}
		ps := d.checkBoard(s)
		switch got := ps.Error(); {
		case c.want == "" && len(ps) > 0, c.want != "" && !strings.Contains(got, c.want), c.want != "" && ps[0].Line != 7:
			t.Errorf("%s, %s: %q", c.device, c.fault, got)
		}
	}
}

// Chance settles the field after all else, so that a drill with a board draws what it
// drew without one.
func TestBoardIsDrawnLast(t *testing.T) {
	d := &Drill{Steps: []Step{{Name: "a", When: Trigger{From: 0, To: 9e9}, Chance: 0.5}, {Name: "b", When: Trigger{From: 0, To: 9e9}, Chance: 0.5}}}
	with := *d
	with.Board = []BoardFault{{Plant: board.Plant{Device: "M1", Fault: board.Late}, Chance: 0.5}}
	there := 0
	for seed := range uint64(400) {
		x, y := d.Draw(seed), with.Draw(seed)
		if len(x.Steps) != len(y.Steps) {
			t.Fatalf("seed %d: %d steps, and with a board %d", seed, len(x.Steps), len(y.Steps))
		}
		for i := range x.Steps {
			if x.Steps[i] != y.Steps[i] {
				t.Fatalf("seed %d: %+v, and with a board %+v", seed, x.Steps[i], y.Steps[i])
			}
		}
		there += len(y.Board)
	}
	if there < 160 || there > 240 {
		t.Errorf("a fault of chance 0.5 was there in %d of 400 fields", there)
	}
}
