package board

import (
	"slices"
	"time"
)

// A Found is what became of a planted fault.
type Found struct {
	Plant
	Marked bool          // the device was marked at all
	At     time.Duration // when it was first marked
	Right  bool          // and at last by the right name
	Mended bool
	Open   bool // it was still there
}

// An Account is how a board was answered.
type Account struct {
	Found []Found
	// False are the devices that were marked, at last, though nothing was ever wrong
	// with them.
	False    []string
	Needless []string // that somebody was sent to though nothing was ever wrong with them
	Out      []string // that somebody was still out for
}

// Account judges what was done up to a time, as when the show was armed. A device that
// came late and answered by then may be left alone, and one that is missing may be
// called late while it is.
func (b *Board) Account(now time.Duration) Account {
	var a Account
	first, last := map[string]time.Duration{}, map[string]Fault{}
	for _, d := range b.deeds {
		if d.At > now || d.Act != Mark {
			continue
		}
		if _, ok := first[d.Device]; !ok && d.Fault != NoFault {
			first[d.Device] = d.At
		}
		last[d.Device] = d.Fault
	}
	for _, p := range b.field.Plants {
		f := Found{Plant: p, Mended: b.mended(p.Device, now)}
		f.Open = !f.Mended && !(p.Fault == Late && b.cameLate(p.Device, now))
		f.At, f.Marked = first[p.Device]
		f.Right = b.rightly(p, last[p.Device], now)
		a.Found = append(a.Found, f)
	}
	for _, d := range b.field.Devices {
		if last[d.Name] != NoFault && b.planted(d.Name) == NoFault {
			a.False = append(a.False, d.Name)
		}
		if b.sentTo(d.Name, now) && b.planted(d.Name) == NoFault {
			a.Needless = append(a.Needless, d.Name)
		}
	}
	for _, who := range b.Out(now) {
		a.Out = append(a.Out, who.Device)
	}
	return a
}

func (b *Board) sentTo(device string, now time.Duration) bool {
	return slices.ContainsFunc(b.deeds, func(d Deed) bool { return d.Act == Repair && d.Device == device && d.At <= now })
}

// cameLate reports whether a device that comes late has answered by now.
func (b *Board) cameLate(device string, now time.Duration) bool {
	return now >= firstAnswer(b.device(device).Want, Late, b.field.Seed)
}

// rightly reports whether a mark names a fault as it could be known at a time.
func (b *Board) rightly(p Plant, mark Fault, now time.Duration) bool {
	switch {
	case p.Fault == Late && b.cameLate(p.Device, now):
		return mark == Late || mark == NoFault
	case p.Fault == Late:
		return mark == Late || mark == Missing
	}
	return mark == p.Fault
}
