package rehearsal

import (
	"testing"

	"drylane/playback/drills"
	"drylane/show/drill"
	"drylane/testdata"
)

// TestShippedDrills plays the example runs of every drill that comes with
// drylane in the engine: each must get the marks that its file promises, the
// good one more than the poor one.
func TestShippedDrills(t *testing.T) {
	shelf := drills.Shelf{Shipped: testdata.Drills(), Demo: testdata.Demo()}
	list, err := drill.List(shelf.Shipped)
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
			f, err := shelf.Open(d, "")
			if err != nil {
				t.Fatal(err)
			}
			defer f.Close()
			if p := d.Check(f.Show); p.Stop() {
				t.Fatal(p)
			}
			score := map[string]int{}
			for _, x := range d.Examples {
				result, err := PlayExample(t.Context(), f, d, x, "drylane test")
				if err != nil {
					t.Fatalf("%s: %v", x.Name, err)
				}
				if result.Score != x.Score {
					t.Errorf("%s: %d marks, want the %d that the file promises", x.Name, result.Score, x.Score)
				}
				score[x.Name] = x.Score
			}
			if len(score) < 2 || score["good"] < score["poor"]+20 {
				t.Errorf("the examples get %v; want a good and a poor run, far apart", score)
			}
		})
	}
}
