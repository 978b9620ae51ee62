package inspect

import (
	"encoding/json"
	"errors"
	"fmt"
	"time"

	"drylane/playback"
	"drylane/show/check"
	"drylane/show/check/tone"
	"drylane/show/timebase"
)

// What is kept on either side of the reach of the witness: enough before to
// know what the music was without it, and after it to follow the tone.
const (
	keptBefore = 300 * time.Millisecond
	keptAfter  = 400 * time.Millisecond
)

// witnessVersion numbers how the witness tone is heard.
const witnessVersion = 1

// A witness is the wish for the tone that should begin at a time of the soundtrack.
type witness struct {
	at   time.Duration
	Tone *check.Tone

	rate     int
	from, to timebase.Frame // of what is kept
	stretch  [][2]float64
}

func (w *witness) Key() (string, int) { return fmt.Sprintf("witness-%d", w.at), witnessVersion }
func (w *witness) Drop()              {}

func (w *witness) Restore(b []byte) error {
	t := new(check.Tone)
	if err := json.Unmarshal(b, t); err != nil {
		return err
	}
	if t.Found && (t.At-w.at).Abs() > check.Reach || t.For < 0 {
		return errors.New("found a stored witness tone that is not near its time")
	}
	w.Tone = t
	return nil
}

func (w *witness) Begin(i playback.Info) error {
	w.rate = i.Rate
	w.from = timebase.FrameAt(max(0, w.at-check.Reach-keptBefore), i.Rate)
	w.to = timebase.FrameAt(w.at+check.Reach+keptAfter, i.Rate)
	return nil
}

func (w *witness) Take(at timebase.Frame, frames [][2]float64) error {
	end := at + timebase.Frame(len(frames))
	if from, to := max(at, w.from), min(end, w.to); from < to {
		w.stretch = append(w.stretch, frames[from-at:to-at]...)
	}
	return nil
}

func (w *witness) Done(playback.Info) ([]byte, error) {
	w.Tone = w.listen()
	return json.Marshal(w.Tone)
}

// listen listens for the witness in the middle of the stereo picture, then on either
// side alone.
func (w *witness) listen() *check.Tone {
	mono := make([]float64, len(w.stretch))
	for _, mix := range [][2]float64{{0.5, 0.5}, {1, 0}, {0, 1}} {
		for i, s := range w.stretch {
			mono[i] = mix[0]*s[0] + mix[1]*s[1]
		}
		t := tone.Find(mono, w.rate)
		if t == nil {
			continue
		}
		if begins := t.At + w.from.At(w.rate); (begins - w.at).Abs() <= check.Reach {
			return &check.Tone{Found: true, At: begins, Hz: t.Hz, For: t.For}
		}
	}
	return &check.Tone{}
}
