package rehearsal

import (
	"fmt"
	"math"

	"drylane/playback/sink"
	"drylane/playback/synth"
	"drylane/show"
)

// Reports say where the cues' reports sound, and how loud.
type Reports struct {
	Side  string  // both, left, right or off
	Level float64 // in dB
}

// gain is the reports' gain on the left and the right.
func (r Reports) gain() [2]float64 {
	g := math.Pow(10, r.Level/20)
	switch r.Side {
	case "left":
		return [2]float64{g, 0}
	case "right":
		return [2]float64{0, g}
	case "off":
		return [2]float64{}
	}
	return [2]float64{g, g}
}

// check refuses what would hurt or cannot be had.
func (o Options) check() error {
	if !(o.Reports.Level >= -60 && o.Reports.Level <= 6) { // also NaN
		return fmt.Errorf("--level: found %g; wanted -60 to 6 dB", o.Reports.Level)
	}
	if d := o.Out.Latency; d < sink.LeastLatency || d > sink.MostLatency {
		return fmt.Errorf("--latency: found %v; wanted %v to %v", d, sink.LeastLatency, sink.MostLatency)
	}
	return nil
}

// reportKinds are the reports of the effect families.
var reportKinds = [show.FamilyCount]synth.Kind{
	show.FamilyOther: synth.Other, show.FamilyShell: synth.Shell, show.FamilySalute: synth.Salute,
	show.FamilyComet: synth.Comet, show.FamilyMine: synth.Mine, show.FamilyCandle: synth.Candle,
	show.FamilyCake: synth.Cake, show.FamilyFountain: synth.Fountain, show.FamilyFlame: synth.Flame,
}

// sounds returns the sounds of the effect families, each made once.
func sounds(rate int) func(show.Family) []float64 {
	var list [show.FamilyCount][]float64
	for f := range list {
		list[f] = synth.Report(reportKinds[f], rate)
	}
	return func(f show.Family) []float64 { return list[f] }
}
