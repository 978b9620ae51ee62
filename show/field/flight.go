package field

import (
	"math"
	"time"

	"drylane/show"
)

// A spherical shell of a caliber, in millimetres, as it leaves the mortar.
// Masses: K. L. and B. J. Kosanke, leg-wire study, Selected Publications
// Part 6, pp. 46-49 (75 mm 0.090 kg, 150 mm 1.1 kg). Diameters: from memory.
var knownShells = [2]struct{ caliber, diameter, mass float64 }{
	{75, 0.070, 0.090},
	{150, 0.142, 1.100},
}

// Constants of the flight: air at sea level, standard gravity, and the drag
// coefficient of a sphere well below the speed of sound (Braun, after a UK
// government appendix on the trajectory of shot).
const (
	airDensity = 1.225
	gravity    = 9.80665
	sphereDrag = 0.49
)

// between carries a quantity that goes with a power of the caliber from the
// two known shells to another.
func between(caliber, at75, at150 float64) float64 {
	power := math.Log(at150/at75) / math.Log(knownShells[1].caliber/knownShells[0].caliber)
	return at75 * math.Pow(caliber/knownShells[0].caliber, power)
}

// terminal is the speed at which a sphere falls steadily, in m/s.
func terminal(diameter, mass float64) float64 {
	area := math.Pi / 4 * diameter * diameter
	return math.Sqrt(2 * mass * gravity / (airDensity * sphereDrag * area))
}

// apex returns the time to the highest point, in s, and its height, in m, of a
// sphere shot straight up at speed m/s against a drag that goes with the square
// of its speed: the textbook solution.
func apex(speed, terminal float64) (seconds, metres float64) {
	seconds = terminal / gravity * math.Atan(speed/terminal)
	metres = terminal * terminal / (2 * gravity) * math.Log1p((speed/terminal)*(speed/terminal))
	return seconds, metres
}

// Muzzle speeds of display shells in m/s, and how far beside the apex a break
// may come: both generous and from memory.
const (
	slowest, fastest  = 80, 120
	soonest, latest   = 0.5, 1.5
	smallest, largest = 40, 620 // calibers in mm that this is good for
)

// Flight returns the plausible range of the time from lift to break of an
// aerial shell of a caliber in millimetres; ok is false where nothing is known
// of such shells. The range is wide: it is there to catch a slip of the pen or a
// wrong unit. Times of 3 to 7 s for shells of 75 to 300 mm, general lore and
// from memory, lie well within.
func Flight(caliber float64) (from, to time.Duration, ok bool) {
	if !(smallest <= caliber && caliber <= largest) { // not for NaN either
		return 0, 0, false
	}
	a, b := knownShells[0], knownShells[1]
	vt := terminal(between(caliber, a.diameter, b.diameter), between(caliber, a.mass, b.mass))
	short, _ := apex(slowest, vt)
	long, _ := apex(fastest, vt)
	const step = 100 * time.Millisecond // a finer one would claim too much
	return seconds(soonest * short).Truncate(step), seconds(latest * long).Round(step), true
}

func seconds(s float64) time.Duration { return time.Duration(s * float64(time.Second)) }

// groundSalute is the prefire below which a salute is taken for one that goes
// off where it stands.
const groundSalute = 500 * time.Millisecond

// PrefireRange returns what is plausible as the prefire of a cue. ok is false
// for effects about which nothing is known: all but shells and aerial salutes with
// a caliber.
func PrefireRange(c show.Cue) (from, to time.Duration, ok bool) {
	if !isShell(c) && (c.Family != show.FamilySalute || isGroundSalute(c)) {
		return 0, 0, false
	}
	return Flight(c.Caliber)
}
