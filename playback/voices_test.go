package playback

import (
	"testing"

	"drylane/show/timebase"

	"pgregory.net/rapid"
)

// TestVoicesMixByFrame: mixing a stream in pieces of any size, or a piece of
// it twice, adds what one plain pass adds.
func TestVoicesMixByFrame(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		const length = 500
		var v Voices
		want := make([][2]float64, length)
		for id := range rapid.IntRange(0, 12).Draw(t, "voices") {
			start := rapid.IntRange(-20, length+20).Draw(t, "start")
			sound := make([]float64, rapid.IntRange(1, 90).Draw(t, "samples"))
			for i := range sound {
				sound[i] = float64(id*100 + i)
			}
			v.Add(Voice{id, timebase.Frame(start), sound})
			if rapid.IntRange(0, 5).Draw(t, "remove?") == 0 {
				v.Remove(id)
				continue
			}
			for i, s := range sound {
				if f := start + i; f >= 0 && f < length {
					want[f][0] += s * 2
					want[f][1] += s * 3
				}
			}
		}
		got := make([][2]float64, length)
		for at := 0; at < length; {
			n := min(rapid.IntRange(1, 120).Draw(t, "piece"), length-at)
			if rapid.Bool().Draw(t, "twice") {
				v.MixInto(make([][2]float64, n), timebase.Frame(at), [2]float64{1, 1})
			}
			v.Forget(timebase.Frame(at))
			v.MixInto(got[at:at+n], timebase.Frame(at), [2]float64{2, 3})
			at += n
		}
		for f := range want {
			if got[f] != want[f] {
				t.Fatalf("frame %d: %v, want %v", f, got[f], want[f])
			}
		}
	})
}

func TestVoicesReplace(t *testing.T) {
	t.Parallel()
	var v Voices
	v.Add(Voice{7, 3, []float64{1}})
	v.Add(Voice{7, 5, []float64{1}})
	frames := make([][2]float64, 10)
	v.MixInto(frames, 0, [2]float64{1, 0})
	if frames[3][0] != 0 || frames[5] != [2]float64{1, 0} {
		t.Errorf("a voice placed again sounds at %v", frames)
	}
	if got, ok := v.Get(7); !ok || got.Start != 5 {
		t.Errorf("got %v, %v", got, ok)
	}
}
