package rehearsal

import (
	"errors"
	"fmt"
	"math"
	"sync"
	"time"

	"drylane/playback/sink"
	"drylane/playback/synth"
	"drylane/show"
)

// Bangs say where the cues' bangs sound, and how loud.
type Bangs struct {
	Side  string  // both, left, right or off
	Level float64 // in dB
}

// gain is the bangs' gain on the left and the right.
func (b Bangs) gain() [2]float64 {
	g := math.Pow(10, b.Level/20)
	switch b.Side {
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
	if !(o.Bangs.Level >= -60 && o.Bangs.Level <= 6) { // also NaN
		return fmt.Errorf("--level: found %g; wanted -60 to 6 dB", o.Bangs.Level)
	}
	if d := o.Out.Latency; d < sink.LeastLatency || d > sink.MostLatency {
		return fmt.Errorf("--latency: found %v; wanted %v to %v", d, sink.LeastLatency, sink.MostLatency)
	}
	return errors.Join(o.checkFollow(), o.checkField(), o.checkReady())
}

// bangKinds are the bangs of the effect families.
var bangKinds = [show.FamilyCount]synth.Kind{
	show.FamilyOther: synth.Other, show.FamilyShell: synth.Shell, show.FamilySalute: synth.Salute,
	show.FamilyComet: synth.Comet, show.FamilyMine: synth.Mine, show.FamilyCandle: synth.Candle,
	show.FamilyCake: synth.Cake, show.FamilyFountain: synth.Fountain, show.FamilyFlame: synth.Flame,
}

// sounds returns the sounds of the effect families, each made once: in the background,
// long before the first is wanted.
func sounds(rate int) func(show.Family) []float64 {
	made := ahead(func() (list [show.FamilyCount][]float64) {
		for f := range list {
			list[f] = synth.Bang(bangKinds[f], rate)
		}
		return list
	})
	return func(f show.Family) []float64 {
		list := made()
		return list[f]
	}
}

// afterPicture is when the first picture of a console has been drawn: that takes all
// cores, and nobody waits for what else is worked out ahead.
const afterPicture = 300 * time.Millisecond

// ahead has something worked out in the background, and returns what waits for it. Who
// wants it before the background has come to it works it out at once.
func ahead[T any](work func() T) func() T {
	wait := sync.OnceValue(work)
	time.AfterFunc(afterPicture, func() { wait() })
	return wait
}
