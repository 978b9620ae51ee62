package board

import (
	"time"

	"drylane/show"
	"drylane/show/battery"
	"drylane/show/field"
	"drylane/show/reach"
)

// What a rehearsal takes for granted where show.toml says nothing; invented for
// practice.
const (
	defaultSignalDB = 20
	defaultNeeded   = 0.6
)

// Walking and working in the field, in the dark and in boots; from memory.
const (
	walk = 1.2              // m/s
	work = 90 * time.Second // at the device
	near = 20 * time.Second // to where no distance is known for
)

// OfShow is the field of a show: its readings scatter around the planned links and
// charge, and somebody walks from the main audience to a device and back. length is
// the soundtrack's; hash gives the recorded hash of a player's file, and may be nil.
func OfShow(s *show.Show, length time.Duration, hash func(file string) string) Field {
	signal := map[string]float64{}
	for _, l := range reach.Links(s) {
		signal[l.Position] = l.MarginDB
	}
	needed := defaultNeeded
	if u, ok := battery.Of(s, length); ok {
		needed = u.NeedsAh / u.HasAh
	}
	away := map[string]time.Duration{}
	for _, p := range s.Positions {
		if p.Distance > 0 {
			away[show.Clean(p.Name)] = time.Duration(field.Between(0, 0, p.Distance, p.Bearing) / walk * float64(time.Second))
		}
	}
	var f Field
	for _, w := range Wants(s, hash) {
		d := Device{w, Nominal{defaultSignalDB, needed}, Fix{near, work}}
		if db, ok := signal[w.Position]; ok {
			d.SignalDB = db
		}
		if far, ok := away[w.Position]; ok {
			d.Walk = far
		}
		f.Devices = append(f.Devices, d)
	}
	return f
}
