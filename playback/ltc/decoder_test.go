package ltc

import (
	"math"
	"testing"

	"drylane/show/timebase"

	"pgregory.net/rapid"
)

// TestDecode: every frame written is found, where it is, at every rate and at
// sample rates that divide into frames badly.
func TestDecode(t *testing.T) {
	t.Parallel()
	const count = 30
	for _, rate := range []int{8000, 11025, 22050, 44100, 48000, 96000, 192000} {
		for _, r := range timebase.Rates {
			s := frameSound(t, Config{Rate: r, SampleRate: rate, Start: startFor(r)}, count)
			// The first frame has no sound before it to start from.
			tol := 0.05 + 1e-6*float64(rate)
			wantRun(t, decode(t, s, rate), r, startFor(r), count, rate, 0, tol)
			if rate >= 22050 {
				wantBackwards(t, decode(t, reversed(s), rate), r, startFor(r), count)
			}
		}
	}
}

// TestDecodeBent: every frame is found in sound that has been through the usual
// mishaps.
func TestDecodeBent(t *testing.T) {
	t.Parallel()
	const count, rate = 60, 48000
	for _, r := range timebase.Rates {
		c := Config{Rate: r, SampleRate: rate, Start: startFor(r), Level: -20}
		s := frameSound(t, c, count)
		loud := c
		loud.Level = -0.1
		faint := c
		faint.Level = -50
		for _, row := range []struct {
			name    string
			samples []float64
			tol     float64
		}{
			{"upside down", change(s, func(_ int, x float64) float64 { return -x }), 0.1},
			{"-50 dBFS in 16 bits", sixteenBits(frameSound(t, faint, count)), 0.1},
			{"full scale", frameSound(t, loud, count), 0.1},
			{"clipped", change(s, func(_ int, x float64) float64 { return min(max(20*x, -1), 1) }), 0.1},
			{"offset", change(s, func(_ int, x float64) float64 { return x + 0.5 }), 0.2},
			{"noise 8 dB below", noise(s, 0.04), 1},
			{"hum 6 dB below", change(s, func(i int, x float64) float64 { return x + 0.05*math.Sin(float64(i)*50*2*math.Pi/rate) }), 1},
			{"swelling by 12 dB", change(s, func(i int, x float64) float64 { return x * (0.625 + 0.375*math.Sin(float64(i)/5000)) }), 0.2},
			{"a click a frame", change(s, func(i int, x float64) float64 {
				if i%1601 == 700 {
					return -x
				}
				return x
			}), 0.5},
		} {
			t.Run(r.String()+" "+row.name, func(t *testing.T) {
				wantRun(t, decode(t, row.samples, rate), r, c.Start, count, rate, 0, row.tol)
				wantBackwards(t, decode(t, reversed(row.samples), rate), r, c.Start, count)
			})
		}
	}
}

// TestDecodeSpeed: every frame is found from 10 % slow to 10 % fast, either
// way. Sound made for another sample rate runs at another speed.
func TestDecodeSpeed(t *testing.T) {
	t.Parallel()
	const count = 30
	rapid.Check(t, func(rt *rapid.T) {
		r := anyRate(rt)
		heard := rapid.SampledFrom([]int{44100, 48000, 96000}).Draw(rt, "sample rate")
		made := int(math.Round(float64(heard) / rapid.Float64Range(0.9, 1.1).Draw(rt, "speed")))
		start := r.Timecode(rapid.Int64Range(0, r.DayFrames()-1).Draw(rt, "start"))
		s := frameSound(t, Config{Rate: r, SampleRate: made, Start: start}, count)
		wantRun(t, decode(t, s, heard), r, start, count, made, 0, 0.2)
		wantBackwards(t, decode(t, reversed(s), heard), r, start, count)
	})
}

// TestDecodeRamp: speed that changes all the time, from 10 % slow to 10 % fast
// within four seconds.
func TestDecodeRamp(t *testing.T) {
	t.Parallel()
	const count = 120
	r := timebase.FPS30
	s := frameSound(t, Config{Rate: r, SampleRate: 48000, Start: startFor(r)}, count)
	var bent []float64
	for p := 0.0; p < float64(len(s)-1); p += 0.9 + 0.2*p/float64(len(s)) {
		i, part := int(p), p-math.Floor(p)
		bent = append(bent, s[i]*(1-part)+s[i+1]*part)
	}
	found := decode(t, bent, 48000)
	if len(found) != count {
		t.Errorf("%d of %d frames found", len(found), count)
	}
	first, last := found[0], found[len(found)-1]
	if a, b := 1600/first.Length, 1600/last.Length; math.Abs(a-0.9) > 0.01 || math.Abs(b-1.1) > 0.01 {
		t.Errorf("speed from %.3f to %.3f, want 0.9 to 1.1", a, b)
	}
}

// TestDecodePieces: what is found does not depend on how the samples come in.
func TestDecodePieces(t *testing.T) {
	t.Parallel()
	s := frameSound(t, Config{Rate: timebase.FPS2997, SampleRate: 44100, Start: timebase.Timecode{H: 1}}, 10)
	want := decode(t, s, 44100)
	rapid.Check(t, func(rt *rapid.T) {
		var got []Frame
		d, err := NewDecoder(44100, func(f Frame) { got = append(got, f) })
		if err != nil {
			rt.Fatal(err)
		}
		for rest := s; len(rest) > 0; {
			n := min(len(rest), rapid.IntRange(0, 5000).Draw(rt, "piece"))
			d.Write(rest[:n])
			rest = rest[n:]
		}
		d.Flush()
		if len(got) != len(want) {
			rt.Fatalf("%d frames, want %d", len(got), len(want))
		}
		for i := range got {
			if got[i] != want[i] {
				rt.Fatalf("frame %d is %+v, want %+v", i, got[i], want[i])
			}
		}
	})
}

func TestDecodeLevel(t *testing.T) {
	t.Parallel()
	for _, level := range []float64{-1, -18, -30, -50} {
		for _, rate := range []int{44100, 96000} {
			s := frameSound(t, Config{Rate: timebase.FPS30, SampleRate: rate, Level: level}, 10)
			for _, f := range decode(t, s, rate) {
				if math.Abs(f.Level-level) > 0.3 {
					t.Errorf("%d Hz: %s at %.2f dBFS, want %g", rate, f.Timecode, f.Level, level)
				}
			}
		}
	}
}

// TestDecodeSilence: the frames before and after a silence are found whole,
// however long it is, and whichever way up the sound comes back.
func TestDecodeSilence(t *testing.T) {
	t.Parallel()
	s := frameSound(t, Config{Rate: timebase.FPS25, SampleRate: 48000, Start: timebase.Timecode{H: 10}}, 10)
	for _, silence := range []int{200, 1920, 100000} {
		for _, sign := range []float64{1, -1} {
			both := append([]float64{}, make([]float64, 777)...)
			both = append(both, s...)
			both = append(both, make([]float64, silence)...)
			both = append(both, change(s, func(_ int, x float64) float64 { return sign * x })...)
			both = append(both, make([]float64, silence)...)
			found := decode(t, both, 48000)
			if len(found) != 20 {
				t.Fatalf("silence of %d, %+g: %d frames, want 20", silence, sign, len(found))
			}
			wantRun(t, found[:10], timebase.FPS25, timebase.Timecode{H: 10}, 10, 48000, 777, 0.2)
			wantRun(t, found[10:], timebase.FPS25, timebase.Timecode{H: 10}, 10, 48000, float64(777+len(s)+silence), 0.2)
		}
	}
}

// TestDecodeOutOfHiss: the first frame is found also when it comes out of hiss,
// which leaves the sign before it to chance.
func TestDecodeOutOfHiss(t *testing.T) {
	t.Parallel()
	s := frameSound(t, Config{Rate: timebase.FPS25, SampleRate: 48000, Start: timebase.Timecode{H: 10}}, 2)
	var all []float64
	const times = 50
	for i := range times {
		all = append(all, make([]float64, 9600+i)...)
		all = append(all, s...)
	}
	all = append(all, make([]float64, 1000)...)
	for _, sigma := range []float64{0.0001, 0.001, 0.003} { // 62, 42 and 32 dB below
		if found := decode(t, noise(all, sigma), 48000); len(found) != 2*times {
			t.Errorf("hiss of %g: %d frames, want %d", sigma, len(found), 2*times)
		}
	}
}

// TestDecodeNothing: what is no timecode yields none.
func TestDecodeNothing(t *testing.T) {
	t.Parallel()
	for name, s := range map[string][]float64{
		"empty":   nil,
		"silence": make([]float64, 48000),
		"noise":   noise(make([]float64, 10*48000), 0.1),
		"tone":    change(make([]float64, 48000), func(i int, _ float64) float64 { return math.Sin(float64(i) / 6.4) }),
		"offset":  change(make([]float64, 4800), func(int, float64) float64 { return 0.7 }),
		"no number": change(make([]float64, 4800), func(i int, _ float64) float64 {
			return []float64{math.NaN(), math.Inf(1), math.Inf(-1), math.MaxFloat64}[i%4]
		}),
	} {
		if found := decode(t, s, 48000); len(found) != 0 {
			t.Errorf("%s: %d frames, the first is %+v", name, len(found), found[0])
		}
	}
}

// TestDecodeRecovers: after samples that are no numbers every whole frame is
// found again.
func TestDecodeRecovers(t *testing.T) {
	t.Parallel()
	s := frameSound(t, Config{Rate: timebase.FPS25, SampleRate: 48000}, 20)
	for i := 5*1920 + 100; i < 5*1920+300; i++ {
		s[i] = []float64{math.NaN(), math.Inf(1), -math.MaxFloat64}[i%3]
	}
	if found := decode(t, s, 48000); len(found) != 19 {
		t.Errorf("%d frames, want all 20 but the damaged", len(found))
	}
}

func TestDecoderRefuses(t *testing.T) {
	t.Parallel()
	for _, rate := range []int{-1, 0, 7999, 192001} {
		if _, err := NewDecoder(rate, nil); err == nil {
			t.Errorf("a decoder for %d samples a second", rate)
		}
	}
}

// FuzzDecoder: any samples are read without harm, and what is found is a label
// with a sync word, in order and within the stream, give or take the two bits
// that a straight line through mangled edges can be off.
func FuzzDecoder(f *testing.F) {
	for _, r := range []timebase.Rate{timebase.FPS24, timebase.FPS30} {
		var raw []byte
		for _, x := range frameSound(f, Config{Rate: r, SampleRate: 8000, Start: startFor(r), Level: -1}, 3) {
			raw = append(raw, byte(int8(127*x)))
		}
		f.Add(raw, uint8(0))
		f.Add(raw[100:], uint8(1))
	}
	f.Add([]byte{0x80, 0x7F, 0x80, 0x7F}, uint8(2))
	f.Fuzz(func(t *testing.T, raw []byte, kind uint8) {
		samples := make([]float64, len(raw))
		for i, b := range raw {
			samples[i] = float64(int8(b)) / 127
			if kind > 1 && b == 0x80 {
				samples[i] = []float64{math.NaN(), math.Inf(-1), 1e300}[kind%3]
			}
		}
		before := math.Inf(-1)
		for _, got := range decode(t, samples, 8000) {
			if label, ok := got.Word.Timecode(); !ok || label != got.Timecode || got.Word[8] != 0xFC || got.Word[9] != 0xBF {
				t.Fatalf("%+v is not what its word says", got)
			}
			if !(got.Start > before && got.Length > 0 && got.Start > -8 && got.Start+got.Length < float64(len(raw)+8)) {
				t.Fatalf("%+v, from %g for %g, in %d samples, after one at %g", got, got.Start, got.Length, len(raw), before)
			}
			before = got.Start
		}
	})
}
