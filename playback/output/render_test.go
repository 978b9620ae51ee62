package output

import (
	"testing"

	"pgregory.net/rapid"
)

// TestRenderHoldsAnywhere ends segments wherever a device may stop, common to both
// rates or not, and finds that what was given in all is an unbroken conversion, to
// the bit; and that the frames told add up.
func TestRenderHoldsAnywhere(t *testing.T) {
	src := noise(20000, 5)
	rapid.Check(t, func(rt *rapid.T) {
		rate := rapid.SampledFrom([]int{22050, 44100, 48000, 88200, 96000}).Draw(rt, "rate")
		r, err := newRender(rate, 48000)
		if err != nil {
			rt.Fatal(err)
		}
		var got [][2]float32
		at := int64(0)
		for range rapid.IntRange(1, 12).Draw(rt, "holds") {
			r.move(r.start + rapid.Int64Range(0, 500).Draw(rt, "silence"))
			n := rapid.Int64Range(0, 1500).Draw(rt, "frames")
			r.write(src[at : at+n])
			stop := rapid.Int64Range(r.start, r.out.end()).Draw(rt, "stop")
			got = append(got, r.out.slice(r.start, stop)...)
			r.faded = false
			at = r.hold(stop)
			r.faded = false // the fade-in after a hold is another's test
			if want := min(r.ratio.In(int64(len(got))), at); at != want || reached(r) != int64(len(got)) {
				rt.Fatalf("%d device frames given, %d counted; held at %d", len(got), reached(r), at)
			}
		}
		for i, w := range converted(t, src, rate, 48000)[:len(got)] {
			if !near(got[i], w) {
				rt.Fatalf("device frame %d is %v, want %v", i, got[i], w)
			}
		}
	})
}
