package listen

import (
	"drylane/playback"
	"drylane/show/timebase"
)

// Wave is the wish for the waveform: the Overview, as the file's length wants it. It
// may be read all the while.
type Wave struct{ *playback.Overview }

func (w Wave) Key() (string, int)          { return "wave", playback.OverviewVersion }
func (w Wave) Restore(b []byte) error      { return w.Overview.Restore(b) }
func (w Wave) Begin(i playback.Info) error { return nil }
func (w Wave) Drop()                       {}

func (w Wave) Take(_ timebase.Frame, frames [][2]float64) error {
	w.Overview.Add(frames)
	return nil
}

func (w Wave) Done(playback.Info) ([]byte, error) {
	if w.Built() < w.Len() {
		return nil, nil
	}
	return w.Overview.Store(), nil
}
