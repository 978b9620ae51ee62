package show

import "time"

// Limits of [radio] and [battery]: what a show can have, wide enough for any
// band and any cell, narrow enough for a slip of the pen to be told.
const (
	minMHz, maxMHz       = 1, 10_000
	minDBm, maxDBm       = -200, 60
	maxGainDB            = 60
	maxShadowDB          = 20
	minAerial, maxAerial = 0.05, 200 // m above the ground
	maxAh                = 1000
	maxAmps              = 100
	maxOnSite            = 72 * time.Hour
	maxLongestHold       = 6 * time.Hour
	maxPulse             = 10 * time.Second
)

// Defaults of [radio] and [battery]; all are from memory, and the operator's to
// set.
const (
	defaultConsoleAerial = 1.5 // m: on a table or a tripod
	defaultFieldAerial   = 0.3 // m: on a case that stands on the ground
	defaultShadowDB      = 8   // dB: the middle of what is told for open and built ground
	defaultHealth        = 0.8 // of the capacity on the label: the usual end of a battery's life
	defaultPulse         = 50 * time.Millisecond
	defaultLongestHold   = 15 * time.Minute
)

// A Radio is the link between the console and the field, for planning. Powers
// are at the antenna's foot.
type Radio struct {
	MHz         float64
	PowerDBm    float64 // sent
	ReceiverDBm float64 // the weakest that the receiver takes, from its maker
	GainDB      float64 // of both antennas together, less their cables
	// ConsoleHeight and FieldHeight are those of the antennas over the ground, in
	// metres.
	ConsoleHeight, FieldHeight float64
	// ShadowDB is the standard deviation of what stands in the way, in dB.
	ShadowDB float64
	// Distance and Bearing say where the console's antenna stands, as for a Speaker.
	Distance, Bearing float64
}

// A Battery is what a device in the field runs on, for planning: one for all of
// them.
type Battery struct {
	Chemistry   string  // one of the Chemistries
	CapacityAh  float64 // on its label
	Health      float64 // what is left of that, 0 to 1
	IdleA       float64 // drawn while switched on
	ArmedA      float64
	FiringA     float64       // for each ignition, as long as Pulse
	Pulse       time.Duration // of an ignition
	OnSite      time.Duration // switched on before the show starts
	LongestHold time.Duration // that the show may be held in all
}

// Chemistries are the kinds of battery that a curve of capacity against
// temperature is known for.
var Chemistries = []string{"lead", "lithium", "nickel"}

func readRadio(top *Table) *Radio {
	t := top.Sub("radio")
	defer t.Done()
	stops := t.counts[SeverityStop]
	r := Radio{
		MHz:           t.Number("mhz", minMHz, maxMHz, 0),
		PowerDBm:      t.Number("power_dbm", minDBm, maxDBm, 0),
		ReceiverDBm:   t.Number("receiver_dbm", minDBm, maxDBm, 0),
		GainDB:        t.Number("gain_db", -maxGainDB, maxGainDB, 0),
		ConsoleHeight: t.Number("console_height_m", minAerial, maxAerial, defaultConsoleAerial),
		FieldHeight:   t.Number("field_height_m", minAerial, maxAerial, defaultFieldAerial),
		ShadowDB:      t.Number("shadow_db", 1, maxShadowDB, defaultShadowDB),
	}
	r.Distance, r.Bearing = readBearing(t)
	if !top.Has("radio") {
		return nil
	}
	t.Need("mhz", `mhz = 868`)
	t.Need("power_dbm", `power_dbm = 10`)
	t.Need("receiver_dbm", `receiver_dbm = -100, from the receiver's data sheet`)
	if t.counts[SeverityStop] > stops {
		return nil
	}
	return &r
}

func readBattery(top *Table) *Battery {
	t := top.Sub("battery")
	defer t.Done()
	stops := t.counts[SeverityStop]
	b := Battery{
		Chemistry:   t.Choice("chemistry", Chemistries...),
		CapacityAh:  t.Number("capacity_ah", 0.01, maxAh, 0),
		Health:      t.Number("health", 0.1, 1, defaultHealth),
		IdleA:       t.Number("idle_a", 0, maxAmps, 0),
		ArmedA:      t.Number("armed_a", 0, maxAmps, 0),
		FiringA:     t.Number("firing_a", 0, maxAmps, 0),
		Pulse:       t.duration("pulse", 0, maxPulse, 1, defaultPulse),
		OnSite:      t.duration("on_site", 0, maxOnSite, 1, 0),
		LongestHold: t.duration("longest_hold", 0, maxLongestHold, 1, defaultLongestHold),
	}
	if !top.Has("battery") {
		return nil
	}
	t.Need("chemistry", `chemistry = "lead"`)
	t.Need("capacity_ah", `capacity_ah = 7`)
	t.Need("idle_a", `idle_a = 0.05`)
	t.Need("armed_a", `armed_a = 0.2`)
	t.Need("on_site", `on_site = "6h"`)
	if t.counts[SeverityStop] > stops {
		return nil
	}
	return &b
}
