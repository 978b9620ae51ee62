package listen

import (
	"context"
	"encoding/json"
	"errors"
	"path/filepath"

	"drylane/playback"
	"drylane/show/timebase"
)

// Flaws is the wish for what only a pass over a whole file tells of it.
type Flaws struct {
	Altered string            `json:"altered,omitempty"` // as in playback.Info
	Damage  []playback.Damage `json:"damage,omitempty"`
}

// flawsVersion numbers what the decoders find wrong.
const flawsVersion = 1

func (f *Flaws) Key() (string, int) { return "flaws", flawsVersion }

func (f *Flaws) Restore(b []byte) error {
	var got Flaws
	if err := unmarshal(b, &got); err != nil {
		return err
	}
	for _, d := range got.Damage {
		if d.At < 0 || d.Frames < 0 {
			return errors.New("found stored damage before the music")
		}
	}
	*f = got
	return nil
}

func (f *Flaws) Begin(playback.Info) error               { return nil }
func (f *Flaws) Take(timebase.Frame, [][2]float64) error { return nil }
func (f *Flaws) Drop()                                   {}
func (f *Flaws) Done(i playback.Info) ([]byte, error) {
	f.Altered, f.Damage = i.Altered, i.Damage
	return json.Marshal(f)
}

// A sound is what playback.HashAudio and the pass that it took tell of a file.
type sound struct {
	SHA256 string `json:"sha256"`
	Flaws  Flaws  `json:"flaws"`
}

// soundVersion numbers what is hashed, and how.
const soundVersion = 1

// HashAudio is playback.HashAudio of a file that is opened and closed again, or what
// was kept of it, with all that is then known of the file.
func HashAudio(ctx context.Context, f File, tell Tell) (string, playback.Info, error) {
	if err := f.identify(ctx, tell); err != nil {
		return "", playback.Info{}, err
	}
	s, err := f.open()
	if err != nil {
		return "", playback.Info{}, err
	}
	defer s.Close()
	i := s.Info()
	got, err := Remember(f, "sound", soundVersion, func(g sound) bool { return len(g.SHA256) == 64 }, func() (sound, error) {
		what := "reading the sound of " + filepath.Base(f.Name)
		sum, err := playback.HashAudio(ctx, s, func(done, total int64) { tell(what, float64(done)/float64(max(1, total))) })
		i = s.Info()
		return sound{sum, Flaws{i.Altered, i.Damage}}, err
	})
	i.Altered, i.Damage = got.Flaws.Altered, got.Flaws.Damage
	return got.SHA256, i, err
}
