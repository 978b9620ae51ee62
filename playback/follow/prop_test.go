package follow

import (
	"math"
	"testing"
	"time"

	"drylane/show/timebase"

	"pgregory.net/rapid"
)

// TestPlaceIsBounded: whatever labels come, at whatever times, the place is never more
// than the carry beyond the end of a label that was read, does not go back while it is
// followed, and stands once it is lost; a lock needs four frames that run on.
func TestPlaceIsBounded(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		rate := rapid.SampledFrom(timebase.Rates).Draw(t, "rate")
		carry := time.Duration(rapid.IntRange(100, 1000).Draw(t, "carry")) * time.Millisecond
		start := rate.Timecode(90000)
		f := newFollower(Config{SampleRate: hz, From: start, Rate: rate, Carry: carry}, ltcStretch)
		frame := hz / rate.FPS()
		at, next, run := 0.0, int64(90000), 0
		sent, ended := int64(-1), -1.0           // the last frame, and when it ended
		furthest := time.Duration(math.MinInt64) // end of a label that was read
		var last Now
		for range rapid.IntRange(1, 200).Draw(t, "steps") {
			switch rapid.IntRange(0, 20).Draw(t, "what") {
			case 0: // silence
				at += frame * float64(rapid.IntRange(1, 40).Draw(t, "silence"))
			case 1: // elsewhere
				next = rapid.Int64Range(80000, 100000).Draw(t, "label")
			case 2: // once more
				next--
			default:
				if next != sent+1 || at != ended {
					run = 0
				}
				at += frame
				sent, ended = next, at
				f.add(Label{Timecode: rate.Timecode(next), Start: at - frame, Length: frame, Frames: 1})
				run++
				next++
				furthest = max(furthest, rate.At(next-90000))
			}
			f.pass(at)
			now := f.At(at)
			switch {
			case now.Following() && now.Place > furthest+carry:
				t.Fatalf("at %v, and no label was read beyond %v", now.Place, furthest)
			case now.Following() && last.Following() && now.Locks == last.Locks && now.Loss.N == last.Loss.N && now.Place < last.Place:
				t.Fatalf("back from %v to %v", last.Place, now.Place)
			case now.State == Lost && last.State == Lost && now.Loss.N == last.Loss.N && now.Place != last.Place:
				t.Fatalf("lost at %v and then at %v", last.Place, now.Place)
			case now.Locks > last.Locks && run < LockFrames:
				t.Fatalf("locked after %d frames", run)
			}
			last = now
		}
	})
}
