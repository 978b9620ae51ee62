package recording

import (
	"errors"

	"drylane/playback"
	"drylane/playback/locate"
	"drylane/playback/pieces"
	"drylane/show/hear"
	"drylane/show/timebase"
)

// What is made of a file here takes more room than the file, and is not kept.
var errNotKept = errors.New("nothing is kept of this")

type notKept struct{}

func (notKept) Key() (string, int)   { return "recording", 1 }
func (notKept) Restore([]byte) error { return errNotKept }

// A soundtrackWish makes music ready to be looked up in.
type soundtrackWish struct {
	notKept
	builder *locate.Builder
	music   *locate.Music
}

func (w *soundtrackWish) Begin(i playback.Info) (err error) {
	if w.builder, err = locate.NewBuilder(i.Rate); err == nil {
		w.builder.Expect(i.Duration().Seconds())
	}
	return err
}

func (w *soundtrackWish) Take(_ timebase.Frame, frames [][2]float64) error {
	return w.builder.Write(frames)
}

func (w *soundtrackWish) Done(playback.Info) ([]byte, error) {
	w.music = w.builder.Music()
	return nil, nil
}

func (w *soundtrackWish) Drop() { w.builder = nil }

// A recordingWish takes a recording in, with its peaks.
type recordingWish struct {
	notKept
	sound *pieces.Sound
	wave  []float32
	rate  int
	peak  float64
}

func (w *recordingWish) Begin(i playback.Info) (err error) {
	w.rate = i.Rate
	if w.sound, err = pieces.NewSound(i.Rate); err == nil {
		w.sound.Expect(i.Duration().Seconds())
	}
	return err
}

func (w *recordingWish) Take(start timebase.Frame, frames [][2]float64) error {
	w.sound.Write(frames)
	for k, f := range frames {
		w.peak = max(w.peak, f[0], -f[0], f[1], -f[1])
		if n := int64(start) + int64(k) + 1; n*hear.WaveHz/int64(w.rate) > int64(len(w.wave)) {
			w.wave, w.peak = append(w.wave, float32(min(w.peak, 1))), 0
		}
	}
	return nil
}

func (w *recordingWish) Done(playback.Info) ([]byte, error) {
	w.sound.Close()
	return nil, nil
}

func (w *recordingWish) Drop() {}
