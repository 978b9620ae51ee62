// Package recording hears what recordings of a show tell: it reads them and the
// soundtrack, finds where they lie and which bangs are in them, and has package
// show/hear say what that means for the cues.
package recording

import (
	"context"
	"errors"
	"fmt"
	"path/filepath"
	"runtime/debug"
	"time"

	"drylane/playback"
	"drylane/playback/bangs"
	"drylane/playback/listen"
	"drylane/playback/locate"
	"drylane/playback/pieces"
	"drylane/show"
	"drylane/show/hear"

	"golang.org/x/sync/errgroup"
)

// A Taken is a recording and where it lies.
type Taken struct {
	hear.Recording
	Lie pieces.Lie
	// Wave are its peaks, hear.WaveHz a second, 1 for full scale.
	Wave []float32
}

// Hear listens to the soundtrack and to recordings of its show, taken at the audience of a
// number in the field's order, of which there is one at least. The error names the file;
// one of which nothing is the music is an error, too.
func Hear(ctx context.Context, s *show.Show, soundtrack listen.File, files []listen.File, audience int, tell listen.Tell) ([]Taken, hear.Report, error) {
	// Nearly all that is held is held to the end: room for as much again is not worth it.
	defer debug.SetGCPercent(debug.SetGCPercent(gcPercent))
	var m soundtrackWish
	var first recordingWish
	g, gctx := errgroup.WithContext(ctx)
	g.Go(func() error { return listen.To(gctx, soundtrack, tell, &m) })
	g.Go(func() error { return converted(listen.To(gctx, files[0], silently, &first)) })
	if err := g.Wait(); err != nil {
		return nil, hear.Report{}, err
	}
	var all []Taken
	var recordings []hear.Recording
	for i, f := range files {
		w := first
		if i > 0 {
			w = recordingWish{}
			if err := converted(listen.To(ctx, f, tell, &w)); err != nil {
				return nil, hear.Report{}, err
			}
		}
		t, err := take(ctx, m.music, f, w, tell)
		if err != nil {
			return nil, hear.Report{}, err
		}
		all, recordings = append(all, t), append(recordings, t.Recording)
	}
	tell("matching bangs and cues", 0)
	return all, hear.Check(s, recordings, audience), nil
}

// converted says with the error of a recording at a rate that is not read, as telephones
// have, how it is made one that is.
func converted(err error) error {
	var e *playback.OpenError
	if errors.As(err, &e) && e.Want == playback.WantRate {
		return fmt.Errorf("%w: ffmpeg -i OLD -ar 44100 NEW.wav converts it", err)
	}
	return err
}

// gcPercent is how much more than it needs the program may hold while it hears.
const gcPercent = 25

// sure is the confidence below which a recording is not taken for one of the music.
const sure = 0.9

// take finds where a recording lies, and the bangs in it.
func take(ctx context.Context, music *locate.Music, f listen.File, w recordingWish, tell listen.Tell) (Taken, error) {
	name := filepath.Base(f.Name)
	lie, err := pieces.Find(ctx, music, w.sound, func(part float64) { tell("placing "+name, part) })
	if err != nil {
		return Taken{}, listen.Stopped(err, f.Name)
	}
	if len(lie.Pieces) == 0 || lie.Confidence < sure {
		return Taken{}, fmt.Errorf("%s: found none of the soundtrack in it; wanted a recording of the show with its music, some 20 s of it or more", show.Clean(f.Name))
	}
	found, err := bangs.Find(ctx, &told{w.sound.Reader(), func(part float64) { tell("listening for bangs in "+name, part) }, 0, w.sound.Length()}, lie.Played(music, w.sound))
	if err != nil {
		return Taken{}, listen.Stopped(err, f.Name)
	}
	t := taken(name, w.sound, lie, found)
	t.Wave = w.wave
	return t, nil
}

// taken puts together what was found of a recording.
func taken(name string, sound *pieces.Sound, lie pieces.Lie, found []bangs.Bang) Taken {
	t := Taken{Lie: lie}
	t.Name, t.Length = name, seconds(sound.Length())
	t.Pieces = piecesOf(lie)
	for _, b := range found {
		t.Bangs = append(t.Bangs, hear.Bang{At: seconds(b.At), Rise: b.Rise})
	}
	return t
}

func piecesOf(lie pieces.Lie) (out []hear.Piece) {
	for _, p := range lie.Pieces {
		out = append(out, hear.Piece{From: seconds(p.From), To: seconds(p.To), At: seconds(p.At), Rate: p.Rate})
	}
	return out
}

// silently tells nothing: what is read beside it tells already.
func silently(string, float64) {}

func seconds(s float64) time.Duration { return time.Duration(s * float64(time.Second)) }

// A told says how much of a recording has been read.
type told struct {
	bangs.Source
	tell   func(float64)
	read   float64
	length float64
}

func (t *told) Read(ctx context.Context, dst []float32) (int, error) {
	n, err := t.Source.Read(ctx, dst)
	t.read += float64(n) / locate.Rate
	t.tell(t.read / max(t.length, 1))
	return n, err
}
