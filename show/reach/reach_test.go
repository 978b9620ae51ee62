package reach

import (
	"math"
	"testing"

	"drylane/show"

	"pgregory.net/rapid"
)

// The values come from 32.4 + 20 log10(f in MHz) + 20 log10(d in km), the form in
// which ITU-R P.525 is quoted: seen second hand, and reckoned by hand.
func TestFreeSpaceAgreesWithP525(t *testing.T) {
	for _, c := range []struct{ mhz, metres, want float64 }{
		{2400, 100, 80.0},
		{868, 500, 85.1},
		{1000, 1000, 92.4},
	} {
		if got := FreeSpace(c.mhz, c.metres); math.Abs(got-c.want) > 0.1 {
			t.Errorf("%v MHz over %v m: %.2f dB, want %.1f", c.mhz, c.metres, got, c.want)
		}
	}
}

// By hand: 40 log10(1000) is 120 dB, and 20 log10(2 * 0.5) is nothing.
func TestTwoRay(t *testing.T) {
	if got := TwoRay(1000, 2, 0.5); math.Abs(got-120) > 1e-9 {
		t.Errorf("1000 m at 2 m and 0.5 m: %.3f dB, want 120", got)
	}
}

// The two laws meet where the text books have the far field begin, and beyond it
// twice the distance costs 12 dB, as against 6 dB before.
func TestLossChangesItsLaw(t *testing.T) {
	const mhz, h1, h2 = 868, 2, 1
	meet := 4 * math.Pi * h1 * h2 / (speedOfLight / 868e6) // about 73 m
	if a, b := FreeSpace(mhz, meet), TwoRay(meet, h1, h2); math.Abs(a-b) > 1e-9 {
		t.Errorf("at %.1f m %.3f dB in free space and %.3f dB by two rays, want the same", meet, a, b)
	}
	if near := Loss(mhz, 40, h1, h2) - Loss(mhz, 20, h1, h2); math.Abs(near-6.02) > 0.01 {
		t.Errorf("20 to 40 m: %.2f dB more, want 6.02", near)
	}
	if far := Loss(mhz, 800, h1, h2) - Loss(mhz, 400, h1, h2); math.Abs(far-12.04) > 0.01 {
		t.Errorf("400 to 800 m: %.2f dB more, want 12.04", far)
	}
}

func TestLossGrowsWithDistance(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		mhz := rapid.Float64Range(1, 10_000).Draw(t, "mhz")
		h1, h2 := rapid.Float64Range(0.05, 200).Draw(t, "h1"), rapid.Float64Range(0.05, 200).Draw(t, "h2")
		d := rapid.Float64Range(0, 20_000).Draw(t, "metres")
		if a, b := Loss(mhz, d, h1, h2), Loss(mhz, d+rapid.Float64Range(0, 1000).Draw(t, "more"), h1, h2); a > b+1e-9 {
			t.Errorf("%.3f dB, and %.3f dB farther away", a, b)
		}
	})
}

// The tail of the normal law, from its printed tables: 0.1587 beyond one standard
// deviation, 0.0228 beyond two, 0.00135 beyond three.
func TestPacketsLostFollowTheNormalLaw(t *testing.T) {
	for _, c := range []struct{ margin, want float64 }{{0, 0.5}, {8, 0.1587}, {16, 0.0228}, {24, 0.00135}, {-8, 0.8413}} {
		if got := PacketsLost(c.margin, 8); math.Abs(got-c.want) > 0.0001 {
			t.Errorf("margin %v dB: %.5f, want %.5f", c.margin, got, c.want)
		}
	}
}

// By hand for 868 MHz, 2 m and 0.5 m: at 200 m the ground wave has its say, as
// 4 pi h1 h2 / wavelength is 36 m, so 40 log10(200) = 92.04 dB are lost. 10 dBm
// sent and 2 dB of antennas leave -80.04 dBm, which is 19.96 dB over -100 dBm.
func TestLinksOfAShow(t *testing.T) {
	s := &show.Show{
		Positions: []show.Position{{Name: "Quay", Distance: 200}, {Name: "unknown"}},
		Radio:     &show.Radio{MHz: 868, PowerDBm: 10, ReceiverDBm: -100, GainDB: 2, ConsoleHeight: 2, FieldHeight: 0.5, ShadowDB: 8},
	}
	links := Links(s)
	if len(links) != 1 {
		t.Fatalf("%d links, want the one whose distance is known", len(links))
	}
	l := links[0]
	if math.Abs(l.MarginDB-19.96) > 0.01 || l.Metres != 200 || l.Weak() {
		t.Errorf("%+v, want a margin of 19.96 dB at 200 m, not weak", l)
	}
	if got, want := l.Words(), "20.0 dB over the receiver's limit at 200 m (the way takes 92.0 dB), 7 packets in 1,000 lost"; got != want {
		t.Errorf("got  %s\nwant %s", got, want)
	}
	s.Radio.Distance, s.Radio.Bearing = 200, 180 // behind the audience
	if far := Links(s)[0]; math.Abs(far.Metres-400) > 1e-6 || !far.Weak() {
		t.Errorf("%+v, want 400 m and weak", far)
	}
	s.Radio = nil
	if got := Links(s); got != nil {
		t.Errorf("%v without a radio", got)
	}
}
