package board

import (
	"math"
	"math/rand/v2"
	"slices"
	"time"
)

// A Reading is what a device answers.
type Reading struct {
	Position string
	SignalDB float64 // over what its receiver needs
	Charge   float64 // of its battery, 0 to 1
	Pins     []int   // with a match in them, in order; of a module
	File     string  // that it holds; of a player
	SHA256   string  // of that file; empty when its planned one is not on record either
}

// Nominal is what a device's readings scatter around.
type Nominal struct {
	SignalDB float64 `json:"signal_db"` // at its position
	// ChargeNeeded is the share of a full battery that it needs to last the show with
	// its longest hold, 0 to 1.
	ChargeNeeded float64 `json:"charge_needed"`
}

// Spreads of the readings: of one device against another, and of one second against
// another. Invented for practice.
const (
	devicesDB = 3.0
	secondsDB = 1.0
	// fullest is a battery that was charged the night before.
	fullest, leastFull = 1.0, 0.9
	lowest             = 0.75 // of what is needed, of a LowCharge
	weakDB             = -2.0 // of a Weak link
)

// at is a source of numbers that is the same for the same seed, device and moment.
func at(seed uint64, device string, moment int64) *rand.Rand {
	return rand.New(rand.NewPCG(seed^fnv1a(device), stream^uint64(moment)<<20))
}

// fnv1a is hash/fnv's New64a, which would have to be made anew for every number.
func fnv1a(s string) uint64 {
	h := uint64(14695981039346656037)
	for i := range len(s) {
		h = (h ^ uint64(s[i])) * 1099511628211
	}
	return h
}

// read works out what a device with a fault answers, seconds after the board was
// opened.
func read(w Want, n Nominal, f Fault, seed uint64, now time.Duration) Reading {
	own := at(seed, w.Name, -1)
	second := at(seed, w.Name, int64(now/time.Second))
	r := Reading{
		Position: w.Position, Pins: w.Pins, File: w.File, SHA256: w.SHA256,
		SignalDB: n.SignalDB + devicesDB*clip(own.NormFloat64()) + secondsDB*clip(second.NormFloat64()),
		Charge:   leastFull + (fullest-leastFull)*own.Float64(),
	}
	switch f {
	case Weak:
		r.SignalDB = weakDB + secondsDB*clip(second.NormFloat64())
	case LowCharge:
		r.Charge = min(r.Charge, lowest*n.ChargeNeeded)
	case OpenPin:
		if len(w.Pins) == 0 {
			break
		}
		i := own.IntN(len(w.Pins))
		r.Pins = slices.Delete(slices.Clone(w.Pins), i, i+1)
	case StrayPin:
		if len(w.Pins) == 0 {
			break
		}
		r.Pins = append(slices.Clone(w.Pins), w.Pins[len(w.Pins)-1]+1)
	case WrongFile:
		r.File = "old-" + w.File
		r.SHA256 = other(own)
	case OtherSound:
		r.SHA256 = other(own)
	}
	return r
}

// clip keeps chance within two standard deviations, so that no healthy device reads
// like one with a fault.
func clip(x float64) float64 { return max(-2, min(2, x)) }

// other is the hash of some other file.
func other(rng *rand.Rand) string {
	const digits = "0123456789abcdef"
	b := make([]byte, 64)
	for i := range b {
		b[i] = digits[rng.IntN(len(digits))]
	}
	return string(b)
}

// firstAnswer is how long after the board was opened a device answers for the
// first time.
func firstAnswer(w Want, f Fault, seed uint64) time.Duration {
	x := at(seed, w.Name, -2).Float64()
	from, to := 300*time.Millisecond, 4*time.Second
	if f == Late {
		from, to = 25*time.Second, 60*time.Second
	}
	return from + time.Duration(x*float64(to-from))
}

// period is that of a weak link: it is heard for a part of it.
const period = 11 * time.Second

// comes reports whether a weak link is heard now.
func comes(w Want, seed uint64, now time.Duration) bool {
	shift := time.Duration(at(seed, w.Name, -3).Float64() * float64(period))
	t := float64((now+shift)%period) / float64(period)
	return math.Mod(t*2.3, 1) < 0.5
}

// lastHeard is when a weak link that is not heard now last was, to a tenth of a second;
// first is when it was heard first.
func lastHeard(w Want, first time.Duration, seed uint64, now time.Duration) time.Duration {
	for at := now; at > first && at > now-period; at -= time.Second / 10 {
		if comes(w, seed, at) {
			return at
		}
	}
	return first
}
