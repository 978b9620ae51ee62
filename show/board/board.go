package board

import (
	"cmp"
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

// A Fix is how long a repair takes.
type Fix struct {
	Walk time.Duration `json:"walk_ns"` // one way
	Work time.Duration `json:"work_ns"` // there
}

// away is how long who is sent stays in the field.
func (f Fix) away() time.Duration { return 2*f.Walk + f.Work }

// A Device is one that the show needs, with what its readings scatter around and how
// long somebody takes to put it right.
type Device struct {
	Want
	Nominal
	Fix
}

// A Field is all that a board is made from: with the same field and the same deeds
// it is the same board.
type Field struct {
	Seed    uint64   `json:"seed"`
	Devices []Device `json:"devices"`
	Plants  []Plant  `json:"faults,omitempty"`
}

// A Board is a field and what was done about it. The zero value has no device. A copy
// of a Board is a snapshot: it may be read on another goroutine while the original
// goes on.
type Board struct {
	field Field
	deeds []Deed // replaced, never written to
}

// New returns a board that nobody has touched.
func New(f Field) *Board { return &Board{field: f} }

// Field is what the board was made from.
func (b *Board) Field() Field { return b.field }

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
	PutRight bool          // somebody has done the work on what was marked, and the mark is as it was
	Out      bool          // somebody is on the way to it or back, or at it
	Back     time.Duration // when, if Out
}

// At is the board at a time since it was opened: the devices that the show needs, in
// the order of Wants, each followed by one that answers to its name as well, then
// those that nobody planned and that have answered.
func (b *Board) At(now time.Duration) []Row {
	rows := make([]Row, 0, len(b.field.Devices)+len(b.field.Plants))
	for _, d := range b.field.Devices {
		r := b.row(d, now)
		rows = append(rows, r)
		if r.Twice {
			rows = append(rows, b.double(d, r))
		}
	}
	for _, p := range b.field.Plants {
		if p.Fault != Unplanned {
			continue
		}
		if r := b.row(stranger(p.Device), now); r.Heard && !b.mended(p.Device, now) {
			r.Planned = false
			rows = append(rows, r)
		}
	}
	return rows
}

// stranger is a device that nobody planned.
func stranger(name string) Device {
	return Device{Want{Kind: Module, Name: name}, Nominal{defaultSignalDB, defaultNeeded}, Fix{near, work}}
}

func (b *Board) row(d Device, now time.Duration) Row {
	w, seed := d.Want, b.field.Seed
	f, mended := b.planted(w.Name), b.mended(w.Name, now)
	first := firstAnswer(w, f, seed)
	if mended {
		f = NoFault
	}
	r := Row{Want: w, Planned: true, Needs: d.ChargeNeeded}
	switch {
	case f == Missing:
	case f == Weak:
		r.Heard = now >= first
		r.Answers = r.Heard && comes(w, seed, now)
	default:
		r.Heard = now >= first || mended
		r.Answers = r.Heard
	}
	if r.Heard {
		at := now
		if !r.Answers {
			at = lastHeard(w, first, seed, now)
		}
		r.Reading = read(w, d.Nominal, f, seed, at)
		r.Twice = f == SameNumber
	}
	b.done(&r, d.Fix, now)
	return r
}

// done puts on a row what was done about its device.
func (b *Board) done(r *Row, fix Fix, now time.Duration) {
	var mended time.Duration // when the last work there is done; 0: nobody was sent
	for _, d := range b.deeds {
		if d.At > now || d.Device != r.Name {
			continue
		}
		switch d.Act {
		case Mark:
			r.Marked, r.MarkedAt = d.Fault, d.At
		case Repair:
			mended = max(mended, d.At+fix.Walk+fix.Work)
			if back := d.At + fix.away(); back > now {
				r.Out, r.Back = true, back
			}
		}
	}
	r.PutRight = r.Marked != NoFault && r.MarkedAt < mended && mended <= now
}

// double is the row of the device that answers to the name of r: it stands elsewhere,
// or holds something else.
func (b *Board) double(d Device, r Row) Row {
	f := OpenPin
	if d.Kind == Player {
		f = WrongFile
	}
	r.Planned = false
	r.Reading = read(d.Want, d.Nominal, f, ^b.field.Seed, 0)
	for _, other := range b.field.Devices {
		if other.Position != d.Position && other.Position != "" {
			r.Reading.Position = other.Position
			break
		}
	}
	return r
}

// planted is the fault that a device began with.
func (b *Board) planted(device string) Fault {
	for _, p := range b.field.Plants {
		if p.Device == device {
			return p.Fault
		}
	}
	return NoFault
}

// mended reports whether somebody who was sent has done the work.
func (b *Board) mended(device string, now time.Duration) bool {
	return slices.ContainsFunc(b.deeds, func(d Deed) bool {
		if d.Act != Repair || d.Device != device {
			return false
		}
		fix := b.device(device).Fix
		return d.At+fix.Walk+fix.Work <= now
	})
}

func (b *Board) device(name string) Device {
	if i := slices.IndexFunc(b.field.Devices, func(d Device) bool { return d.Name == name }); i >= 0 {
		return b.field.Devices[i]
	}
	return stranger(name)
}

// Do takes an act. The error is for the shooter, and then nothing was done. Acts come
// in the order of their times.
func (b *Board) Do(d Deed) error {
	r, ok := b.find(d.Device, d.At)
	switch {
	case !ok:
		return fmt.Errorf("no device %q is on the board", d.Device)
	case d.Act == Repair && r.Out:
		return fmt.Errorf("somebody is at %s already", d.Device)
	case d.Act == Mark && d.Fault != NoFault && !slices.Contains(FaultsOf(r.Kind), d.Fault):
		return fmt.Errorf("a %s cannot be marked %q", r.Kind, d.Fault)
	}
	b.deeds = append(b.deeds[:len(b.deeds):len(b.deeds)], d)
	return nil
}

// find is the row of a device; ok is false where it stands in none.
func (b *Board) find(device string, now time.Duration) (r Row, ok bool) {
	if i := slices.IndexFunc(b.field.Devices, func(d Device) bool { return d.Name == device }); i >= 0 {
		return b.row(b.field.Devices[i], now), true
	}
	if b.planted(device) != Unplanned {
		return r, false
	}
	r = b.row(stranger(device), now)
	return r, r.Heard && !b.mended(device, now)
}

// Somebody is who is out in the field.
type Somebody struct {
	Device string        // whom they were sent to
	Back   time.Duration // when they are back, since the board was opened
}

// Out are those who are out in the field, in the order in which they come back: while
// there is one, nothing may be armed.
func (b *Board) Out(now time.Duration) []Somebody {
	var list []Somebody
	for _, d := range b.deeds {
		if d.Act != Repair || d.At > now {
			continue
		}
		if back := d.At + b.device(d.Device).away(); back > now {
			list = append(list, Somebody{d.Device, back})
		}
	}
	slices.SortStableFunc(list, func(a, b Somebody) int { return cmp.Compare(a.Back, b.Back) })
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
