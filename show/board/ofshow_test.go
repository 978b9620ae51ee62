package board

import (
	"testing"
	"time"

	"drylane/show"
)

// By hand: 240 m at 1.2 m/s are 200 s, there and back 400 s, and 90 s of work; a
// battery of 10 Ah at 25 °C that is asked for 5 Ah needs to be half full.
func TestBoardOfShow(t *testing.T) {
	sh := &show.Show{
		Positions: []show.Position{{Name: "Quay", Distance: 240, Bearing: 40}},
		Cues:      []show.Cue{{Module: "M1", Pin: 1, Position: "Quay"}},
		Air:       show.Air{TemperatureC: 25},
		Battery:   &show.Battery{Chemistry: "lead", CapacityAh: 10, Health: 1, IdleA: 1, OnSite: 5 * time.Hour},
		Radio:     &show.Radio{MHz: 868, PowerDBm: 20, ReceiverDBm: -100, ConsoleHeight: 2, FieldHeight: 0.5, ShadowDB: 8},
	}
	f := OfShow(sh, 0, nil)
	f.Seed, f.Plants = 1, []Plant{{"M1", Missing}}
	b := New(f)
	if err := b.Do(Deed{Act: Repair, Device: "M1"}); err != nil {
		t.Fatal(err)
	}
	r := find(t, b, "M1", 300*s)
	if r.Needs != 0.5 || r.Back != 490*s || !r.Answers {
		t.Errorf("%+v, want half a charge needed, and somebody back after 490 s", r)
	}
	// 40 log10(240) is 95.21 dB, which leaves 24.79 dB; two standard deviations of
	// either scatter are 8 dB.
	if r.SignalDB < 16.7 || r.SignalDB > 32.8 {
		t.Errorf("%.1f dB, want about 24.8", r.SignalDB)
	}
}
