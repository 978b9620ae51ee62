package deck

import (
	"testing"
	"time"

	"drylane/show"
	"drylane/show/drill"
)

// ones is a companion with a one on both sides of every frame.
type ones struct{ ramp }

func (o *ones) Stream(samples [][2]float64) (int, bool) {
	n, ok := o.ramp.Stream(samples)
	for i := range samples[:n] {
		samples[i] = [2]float64{1, 1}
	}
	return n, ok
}

// TestCallsFallSilent: the calls of a position are silent from the step that
// says so to the step that brings them back, on the side that they are on and
// nowhere else, be the companion listened to or on the second output. The music
// does not change, and each run begins with all calls there.
func TestCallsFallSilent(t *testing.T) {
	companion := func() Companion {
		return Companion{Name: "calls.wav", Stream: &ones{ramp{length: 10 * rate, breaksAt: 1 << 40}}, Calls: [2]string{"Quay", "Mole"}}
	}
	quay := show.Group{By: show.LanesByPosition, Name: "Quay"}
	second := &tape{space: 1000, all: true}
	r := newRig(t, &ramp{length: 3 * rate, breaksAt: 1 << 40}, nil, "+0 arm\n+0 start\n2.5 cut\n+0 arm\n+0 start\n0.5 cut", false)
	r.second = newSecond(&SecondOutput{Companion: companion(), Output: second}, r.muteSides)
	r.cfg.Companions = []Companion{companion()}
	r.ears = newEars(r.cfg.Companions, 1)
	r.cfg.Director = drill.NewDirector(&drill.Exercise{Drill: &drill.Drill{}, Steps: []drill.Step{
		{Name: "off", When: drill.Trigger{From: time.Second, To: time.Second}, Do: drill.CallsOff, Group: quay},
		{Name: "on", When: drill.Trigger{From: 2 * time.Second, To: 2 * time.Second}, Do: drill.CallsOn, Group: quay},
		{Name: "off again", When: drill.Trigger{From: 2400 * time.Millisecond, To: 2400 * time.Millisecond}, Do: drill.CallsOff, Group: quay},
	}}, rate)
	if err := r.Run(t.Context()); err != nil {
		t.Fatal(err)
	}
	for name, heard := range map[string][][2]float64{"listened to": r.out.heard, "on the second output": second.heard} {
		if len(heard) != 3*rate {
			t.Fatalf("%s: %d frames heard of two runs of 2.5 s and 0.5 s", name, len(heard))
		}
		for f, s := range heard {
			off := f >= rate && f < 2*rate || f >= rate*24/10 && f < rate*25/10
			if (s[0] == 0) != off || s[1] != 1 {
				t.Fatalf("%s, frame %d: %v, silent on the left: want %v", name, f, s, off)
			}
		}
	}
	if r.faults.Words() != "" {
		t.Errorf("the second run ended with %q", r.faults.Words())
	}
}
