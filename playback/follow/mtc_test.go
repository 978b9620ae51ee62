package follow

import (
	"slices"
	"testing"
	"time"

	"drylane/show/timebase"

	"pgregory.net/rapid"
)

// quarterFrames is what a player sends from a label on: the pieces of n labels, two
// bytes each, a label every two frames.
func quarterFrames(rate timebase.Rate, first int64, n int) (list []byte) {
	kind := map[timebase.Rate]byte{timebase.FPS23976: 0, timebase.FPS24: 0, timebase.FPS25: 1, timebase.FPS2997Drop: 2, timebase.FPS2997: 3, timebase.FPS30: 3}[rate]
	for i := range n {
		l := rate.Timecode(first + int64(2*i))
		h := byte(l.H) | kind<<5
		for piece, bits := range []byte{byte(l.F) & 15, byte(l.F) >> 4, byte(l.S) & 15, byte(l.S) >> 4, byte(l.M) & 15, byte(l.M) >> 4, h & 15, h >> 4} {
			list = append(list, quarterFrame, byte(piece)<<4|bits)
		}
	}
	return list
}

// heardMTC sends messages of two bytes each a quarter of a frame apart, from a moment
// on, with a jitter of a millisecond and what else is on the line in between.
func heardMTC(r *MTC, bytes []byte, rate timebase.Rate, from float64) (end float64) {
	noise := [][]byte{{0xF8}, {0xFE}, {0x90, 0x40, 0x7F, 0x41, 0x7F}, {0xF0, 0x43, 0x10, 0xF8, 0x01, 0xF7}, {}}
	for i := 0; i < len(bytes); i += 2 {
		at := from + float64(i/2)*hz/rate.FPS()/4
		late := float64(i%3) * hz / 2000
		for k := r.Sample() + hz/500; k < at; k += hz / 500 {
			r.Pass(k)
		}
		r.Write(noise[i%len(noise)], at+late)
		r.Write([]byte{bytes[i], 0xF8, bytes[i+1]}, at+late) // real time within a message
		end = at + hz/rate.FPS()/4
	}
	return end
}

// TestMTC: every rate is followed from its second label on, through jitter and other
// messages, and a pause, a jump and a turn are told.
func TestMTC(t *testing.T) {
	t.Parallel()
	for _, rate := range timebase.Rates {
		first := int64(90000)
		cfg := Config{SampleRate: hz, From: rate.Timecode(first), Rate: rate}
		r := NewMTC(cfg)
		end := heardMTC(r, quarterFrames(rate, first, 2), rate, 0)
		if now := r.At(end); now.State != Locked || (now.Place-rate.At(4)).Abs() > 3*time.Millisecond {
			t.Errorf("%s: after two labels %s, at %v of %v", rate, now.State, now.Place, rate.At(4))
		}
		end = heardMTC(r, quarterFrames(rate, first+4, 20), rate, end)
		if now := r.At(end); now.State != Locked || (now.Place-rate.At(44)).Abs() > 3*time.Millisecond || now.Loss.N != 0 {
			t.Errorf("%s: %s, at %v of %v", rate, now.State, now.Place, rate.At(44))
		}
		paused := end + hz
		for k := end; k < paused; k += hz / 500 {
			r.Pass(k)
		}
		if now := r.At(paused); now.State != Lost || now.Loss.Why != Stopped || now.Place > rate.At(44)+DefaultCarry {
			t.Errorf("%s: in a pause %s at %v", rate, now.State, now.Place)
		}
		end = heardMTC(r, quarterFrames(rate, first+44, 4), rate, paused)
		if now := r.At(end); now.State != Locked || !now.Again {
			t.Errorf("%s: after it %s, again %v", rate, now.State, now.Again)
		}
		end = heardMTC(r, quarterFrames(rate, first+4000, 4), rate, end)
		if now := r.At(end); now.Loss.Why != Jumped || now.Again || (now.Place-rate.At(4008)).Abs() > 3*time.Millisecond {
			t.Errorf("%s: after a jump %s, lost for %d, at %v of %v", rate, now.State, now.Loss.Why, now.Place, rate.At(4008))
		}
	}
}

// TestMTCBackwards: pieces that come last first are a player that winds back.
func TestMTCBackwards(t *testing.T) {
	t.Parallel()
	up := quarterFrames(timebase.FPS25, 90000, 20)
	var down []byte
	for i := len(up) - 2; i >= 0; i -= 2 {
		down = append(down, up[i], up[i+1])
	}
	r := NewMTC(Config{SampleRate: hz, From: from})
	if end := heardMTC(r, down, timebase.FPS25, 0); r.At(end).State != Searching || r.At(end).Why != Backwards {
		t.Errorf("%s, %d", r.At(end).State, r.At(end).Why)
	}
}

// TestMTCRate: what is 0.1 % apart is told after ten seconds, in spite of the jitter.
func TestMTCRate(t *testing.T) {
	t.Parallel()
	for _, rate := range timebase.Rates {
		r := NewMTC(Config{SampleRate: hz, From: rate.Timecode(90000)})
		end := heardMTC(r, quarterFrames(rate, 90000, int(7*rate.FPS())), rate, 0)
		if now := r.At(end); now.Rate != rate || now.Loss.N != 0 {
			t.Errorf("%s is found as %s, lost %d times", rate, now.Rate, now.Loss.N)
		}
	}
}

// TestFullFrame: the example is 01:37:52:16 at 30, drop frame, in the form of the
// MIDI specification.
func TestFullFrame(t *testing.T) {
	r := NewMTC(Config{SampleRate: hz})
	bytes := []byte{0xF0, 0x7F, 0x7F, 0x01, 0x01, 0x41, 0x25, 0xF8, 0x34, 0x10, 0xF7}
	r.Write(bytes, 0)
	if now := r.At(0); now.Label.String() != "01:37:52;16" || now.State != Searching {
		t.Errorf("%s, %s", now.Label, now.State)
	}
	if Pace(bytes) != timebase.FPS2997Drop || Pace(nil) != 0 || Pace(quarterFrames(timebase.FPS25, 0, 1)) != timebase.FPS25 {
		t.Error("the pace is not told")
	}
	for _, bad := range [][]byte{
		{0xF0, 0x7F, 0x7F, 0x01, 0x02, 0x41, 0x25, 0x34, 0x10, 0xF7},       // user bits
		{0xF0, 0x7F, 0x7F, 0x01, 0x01, 0x41, 0x25, 0x34, 0x10, 0x00, 0xF7}, // longer
		{0xF0, 0x7F, 0x7F, 0x01, 0x01, 0x41, 0x3D, 0x34, 0x10, 0xF7},       // minute 61
		{0xF0, 0x7F, 0x7F, 0x01, 0x01, 0x41, 0x25, 0x90, 0x34, 0x10, 0xF7}, // broken off
	} {
		r := NewMTC(Config{SampleRate: hz})
		if r.Write(bad, 0); r.At(0).Read {
			t.Errorf("% x reads as %s", bad, r.At(0).Label)
		}
	}
}

// TestPaced: bytes without times are followed by their own pace.
func TestPaced(t *testing.T) {
	r := NewMTC(Config{SampleRate: hz, From: from})
	bytes := slices.Concat(quarterFrames(timebase.FPS25, 90000, 25), quarterFrames(timebase.FPS25, 91000, 25))
	r.WritePaced(bytes[:400], Pace(bytes))
	if now := r.At(r.Sample()); now.State != Locked || (now.Place-2*time.Second).Abs() > time.Millisecond {
		t.Errorf("%s at %v", now.State, now.Place)
	}
	r.WritePaced(bytes[400:], timebase.FPS25)
	if now := r.At(r.Sample()); now.State != Locked || now.Loss.Why != Jumped || (now.Place-42*time.Second).Abs() > time.Millisecond {
		t.Errorf("%s at %v", now.State, now.Place)
	}
}

// TestPieces: what the pieces of any label say is read back as that label.
func TestPieces(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		rate := rapid.SampledFrom(timebase.Rates).Draw(t, "rate")
		k := rapid.Int64Range(0, rate.DayFrames()-1).Draw(t, "frame")
		r := NewMTC(Config{SampleRate: hz})
		r.WritePaced(quarterFrames(rate, k, 1), rate)
		if got := r.At(0).Label; got != rate.Timecode(k) {
			t.Fatalf("%s reads as %s", rate.Timecode(k), got)
		}
	})
}

// FuzzMTC: whatever comes in, a label that is read is one, and the place never goes
// back while it is followed.
func FuzzMTC(f *testing.F) {
	f.Add(quarterFrames(timebase.FPS25, 90000, 4), byte(7))
	f.Add([]byte{0xF0, 0x7F, 0x7F, 0x01, 0x01, 0x41, 0x25, 0x34, 0x10, 0xF7, 0xF1, 0x00}, byte(1))
	f.Fuzz(func(t *testing.T, bytes []byte, step byte) {
		r := NewMTC(Config{SampleRate: hz})
		last := Now{}
		for i, b := range bytes {
			r.Write([]byte{b}, float64(i)*float64(step)*20)
			now := r.At(r.Sample())
			if now.Read && !now.Label.InRange() {
				t.Fatalf("read the label %v", now.Label)
			}
			if now.Following() && last.Following() && now.Locks == last.Locks && now.Place < last.Place {
				t.Fatalf("from %v back to %v", last.Place, now.Place)
			}
			last = now
		}
	})
}
