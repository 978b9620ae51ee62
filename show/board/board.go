package board

import (
	"fmt"
	"slices"
	"time"
)

// An Act is what is done about a device.
type Act uint8

// The acts.
const (
	Mark   Act = iota // a fault is named; NoFault takes the name back
	Repair            // somebody is sent to put it right
)

// A Deed is an act at a time since the board was opened.
type Deed struct {
	At     time.Duration
	Act    Act
	Device string
	Fault  Fault // of a Mark
}

// A Board is a field with its faults and what was done about them. The zero value has
// no device.
type Board struct {
	wants   []Want
	nominal map[string]Nominal // by position; "" for the players
	seed    uint64
	plants  []Plant
	fix     func(Want) Fix
	deeds   []Deed
}

// A Fix is how long a repair takes.
type Fix struct {
	Walk time.Duration // one way
	Work time.Duration // there
}

// New returns a board that nobody has touched. nominal gives what the readings at a
// position scatter around, and fix how long somebody takes to put a device right.
func New(wants []Want, seed uint64, plants []Plant, nominal func(position string) Nominal, fix func(Want) Fix) *Board {
	b := &Board{wants: wants, seed: seed, plants: plants, fix: fix, nominal: map[string]Nominal{}}
	for _, w := range wants {
		b.nominal[w.Position] = nominal(w.Position)
	}
	return b
}

// A Row is a device on the board.
type Row struct {
	Want             // only Kind and Name of one that nobody planned
	Planned  bool    // the show needs it
	Needs    float64 // share of a full battery, to last
	Answers  bool    // it does now
	Heard    bool    // it has answered since the board was opened
	Twice    bool    // another device answers to its name
	Reading          // the last one; its Position is where it says it is
	Marked   Fault   // the fault that it was marked with
	MarkedAt time.Duration
	Out      bool          // somebody is on the way to it or back, or at it
	Back     time.Duration // when, if Out
}

// At is the board at a time since it was opened: the devices that the show needs, in
// the order of Wants, each followed by one that answers to its name as well, then
// those that nobody planned and that have answered.
func (b *Board) At(now time.Duration) []Row {
	var rows []Row
	for _, w := range b.wants {
		r := b.row(w, now)
		rows = append(rows, r)
		if r.Twice {
			rows = append(rows, b.double(r))
		}
	}
	for _, p := range b.plants {
		if p.Fault != Unplanned {
			continue
		}
		w := Want{Kind: Module, Name: p.Device}
		if r := b.row(w, now); r.Heard && !b.mended(w.Name, now) {
			r.Planned = false
			rows = append(rows, r)
		}
	}
	return rows
}

func (b *Board) row(w Want, now time.Duration) Row {
	f := b.fault(w.Name, now)
	n := b.nominal[w.Position]
	r := Row{Want: w, Planned: true, Needs: n.ChargeNeeded}
	first := firstAnswer(w, b.planted(w.Name), b.seed)
	switch {
	case f == Missing:
	case f == Weak:
		r.Heard = now >= first
		r.Answers = r.Heard && comes(w, b.seed, now)
	default:
		r.Heard = now >= first || b.mended(w.Name, now)
		r.Answers = r.Heard
	}
	if r.Heard {
		r.Reading = read(w, n, f, b.seed, now)
		r.Twice = f == SameNumber
	}
	for _, d := range b.deeds {
		if d.At > now || d.Device != w.Name {
			continue
		}
		switch d.Act {
		case Mark:
			r.Marked, r.MarkedAt = d.Fault, d.At
		case Repair:
			if back := d.At + b.away(w); back > now {
				r.Out, r.Back = true, back
			}
		}
	}
	return r
}

// double is the row of the device that answers to the name of r: it stands elsewhere,
// or holds something else.
func (b *Board) double(r Row) Row {
	r.Planned = false
	r.Reading = read(r.Want, b.nominal[r.Want.Position], OpenPin, ^b.seed, 0)
	if r.Kind == Player {
		r.Reading = read(r.Want, b.nominal[r.Want.Position], WrongFile, ^b.seed, 0)
	}
	for _, w := range b.wants {
		if w.Position != r.Want.Position && w.Position != "" {
			r.Reading.Position = w.Position
			break
		}
	}
	return r
}

// planted is the fault that a device began with.
func (b *Board) planted(device string) Fault {
	for _, p := range b.plants {
		if p.Device == device {
			return p.Fault
		}
	}
	return NoFault
}

// fault is what a device suffers from now.
func (b *Board) fault(device string, now time.Duration) Fault {
	if b.mended(device, now) {
		return NoFault
	}
	return b.planted(device)
}

// mended reports whether somebody who was sent has done the work.
func (b *Board) mended(device string, now time.Duration) bool {
	return slices.ContainsFunc(b.deeds, func(d Deed) bool {
		fix := b.fix(b.want(device))
		return d.Act == Repair && d.Device == device && d.At+fix.Walk+fix.Work <= now
	})
}

// away is how long who is sent to a device stays in the field.
func (b *Board) away(w Want) time.Duration {
	fix := b.fix(w)
	return 2*fix.Walk + fix.Work
}

func (b *Board) want(device string) Want {
	if i := slices.IndexFunc(b.wants, func(w Want) bool { return w.Name == device }); i >= 0 {
		return b.wants[i]
	}
	return Want{Name: device}
}

// Do takes an act. The error is for the shooter, and then nothing was done. Acts come
// in the order of their times.
func (b *Board) Do(d Deed) error {
	rows := b.At(d.At)
	i := slices.IndexFunc(rows, func(r Row) bool { return r.Name == d.Device })
	switch {
	case i < 0:
		return fmt.Errorf("no device %q is on the board", d.Device)
	case d.Act == Repair && rows[i].Out:
		return fmt.Errorf("somebody is at %s already", d.Device)
	case d.Act == Mark && d.Fault != NoFault && !slices.Contains(FaultsOf(rows[i].Kind), d.Fault):
		return fmt.Errorf("a %s cannot be marked %q", rows[i].Kind, d.Fault)
	}
	b.deeds = append(b.deeds[:len(b.deeds):len(b.deeds)], d)
	return nil
}

// Out are the devices that somebody is out for, in the order of the board: while
// there is one, nothing may be armed.
func (b *Board) Out(now time.Duration) []string {
	var list []string
	for _, r := range b.At(now) {
		if r.Out {
			list = append(list, r.Name)
		}
	}
	return list
}

// A Count is how many of the planned devices answer. Strangers answer and are not
// planned, or answer to a name that is taken.
type Count struct{ Expected, Answering, Strangers int }

// CountOf counts the rows of a board.
func CountOf(rows []Row) Count {
	var c Count
	for _, r := range rows {
		if r.Planned {
			c.Expected++
			if r.Answers {
				c.Answering++
			}
		} else {
			c.Strangers++
		}
	}
	return c
}

// String is the count in words: a stranger never makes up for one that is missing.
func (c Count) String() string {
	s := fmt.Sprintf("expected %d, answering %d", c.Expected, c.Answering)
	if c.Strangers > 0 {
		s += fmt.Sprintf(", and %d more", c.Strangers)
	}
	return s
}
