package board

import "time"

// A Found is what became of a planted fault.
type Found struct {
	Plant
	Marked bool          // the device was marked at all
	At     time.Duration // when it was first marked
	Right  bool          // and at last by the right name
	Mended bool
}

// An Account is how a board was answered.
type Account struct {
	Found []Found
	// False are the devices that were marked, at last, though nothing was ever wrong
	// with them.
	False []string
	Out   []string // that somebody was still out for
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
	for _, p := range b.plants {
		f := Found{Plant: p, Mended: b.mended(p.Device, now)}
		f.At, f.Marked = first[p.Device]
		f.Right = b.rightly(p, last[p.Device], now)
		a.Found = append(a.Found, f)
	}
	for _, r := range b.At(now) {
		if last[r.Name] != NoFault && b.planted(r.Name) == NoFault {
			a.False = append(a.False, r.Name)
		}
		if r.Out {
			a.Out = append(a.Out, r.Name)
		}
	}
	return a
}

// rightly reports whether a mark names a fault as it could be known at a time.
func (b *Board) rightly(p Plant, mark Fault, now time.Duration) bool {
	w := b.want(p.Device)
	switch {
	case p.Fault == Late && now >= firstAnswer(w, Late, b.seed):
		return mark == Late || mark == NoFault
	case p.Fault == Late:
		return mark == Late || mark == Missing
	}
	return mark == p.Fault
}
