package main

import (
	"bytes"
	"context"
	"testing"

	"drylane/show/drill"
)

// TestShippedDrills plays the example runs of every drill that comes with
// drylane in the engine: each must get the marks that its file promises, the
// good one more than the poor one.
func TestShippedDrills(t *testing.T) {
	list, err := drill.List(shippedDrills())
	if err != nil {
		t.Fatal(err)
	}
	if len(list) < 12 {
		t.Errorf("%d drills are shipped, want at least 12", len(list))
	}
	for i, d := range list {
		if testing.Short() && i%5 > 0 {
			continue // the race detector sees the same goroutines in any of them
		}
		t.Run(d.Name, func(t *testing.T) {
			var out bytes.Buffer
			e := &env{ctx: context.Background(), out: &out, errOut: &out}
			if err := e.checkDrill(d.Name); err != nil {
				t.Errorf("%v\n%s", err, &out)
			}
			score := map[string]int{}
			for _, x := range d.Examples {
				score[x.Name] = x.Score
			}
			if len(score) < 2 || score["good"] < score["poor"]+20 {
				t.Errorf("the examples get %v; want a good and a poor run, far apart", score)
			}
		})
	}
}
