// Package accents knows where the accents of a piece of music lie: it listens, or
// takes what an earlier listening left in the user's cache.
package accents

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"

	"drylane/playback"
	"drylane/playback/disk"
	"drylane/playback/onset"
	"drylane/playback/phrase"
	"drylane/show/review"
	"drylane/show/timebase"

	"github.com/adrg/xdg"
)

// A Tell is told what is being done and how much of it is over, 0 to 1.
type Tell func(what string, part float64)

// Find finds the onsets of a sound file, or takes them from the user's cache,
// where they lie under the hash of the file's bytes: to hash the sound itself, the
// file would have to be decoded once more, only to be asked for.
func Find(ctx context.Context, name string, open func() (io.ReadSeekCloser, error), tell Tell) (*onset.Music, error) {
	h, err := known(ctx, name, open, tell)
	if err != nil {
		return nil, err
	}
	if h.music == nil {
		if err := h.listen(ctx, open, tell); err != nil {
			return nil, err
		}
	}
	return h.music, nil
}

// A heard is what was heard of a sound file.
type heard struct {
	name  string
	hash  string // of the file's bytes
	rate  int
	total timebase.Frame

	music *onset.Music  // nil: not yet
	score *phrase.Score // nil: not yet
}

// known is what the cache has of a sound file.
func known(ctx context.Context, name string, open func() (io.ReadSeekCloser, error), tell Tell) (*heard, error) {
	f, err := open()
	if err != nil {
		return nil, err
	}
	s, err := playback.Open(name, f)
	if err != nil {
		return nil, err
	}
	defer s.Close()
	base := filepath.Base(name)
	h := &heard{name: name, rate: s.Rate(), total: timebase.Frame(s.Len())}
	h.hash, err = hashWhole(ctx, f, func(done, total int64) { tell("reading "+base, part(done, total)) })
	if err != nil {
		return nil, Stopped(err, name)
	}
	h.music, h.score = cached(h.hash), cachedScore(h.hash)
	return h, nil
}

func part(done, total int64) float64 { return float64(done) / float64(max(1, total)) }

// listen decodes the file once and finds in that pass all that is not known of it. What
// it finds goes into the cache.
func (h *heard) listen(ctx context.Context, open func() (io.ReadSeekCloser, error), tell Tell) error {
	l := phrase.NewListener(h.rate)
	var d *onset.Detector
	if h.music == nil {
		d = onset.NewDetector(h.rate)
		defer d.Close()
	}
	what := "listening to " + filepath.Base(h.name)
	err := playback.Pass(ctx, h.name, open, func(start timebase.Frame, frames [][2]float64) error {
		if d != nil {
			d.Add(frames)
		}
		l.Add(frames)
		tell(what, part(int64(start)+int64(len(frames)), int64(h.total)))
		return ctx.Err()
	})
	if err != nil {
		return Stopped(err, h.name)
	}
	if d != nil {
		h.music = d.Music()
		keep(cacheFile(onsetsDir, h.hash), h.music.Write)
	}
	h.score = &phrase.Score{Rate: h.rate, Length: h.music.Length, Changes: l.Changes(h.music.Beats)}
	keep(cacheFile(changesDir, h.hash), h.score.Write)
	return nil
}

// keep writes a file of the cache. Without one the next time takes as long: no reason to
// fail.
func keep(name string, write func(io.Writer) error) {
	if os.MkdirAll(filepath.Dir(name), 0o700) == nil {
		_ = disk.WriteWhole(name, write)
	}
}

// hashWhole hashes all bytes of f, wherever it stands.
func hashWhole(ctx context.Context, f io.ReadSeeker, progress func(done, total int64)) (string, error) {
	size, err := f.Seek(0, io.SeekEnd)
	if err == nil {
		_, err = f.Seek(0, io.SeekStart)
	}
	if err != nil {
		return "", fmt.Errorf("reading the soundtrack: %w", err)
	}
	return playback.HashFile(ctx, f, func(done int64) { progress(done, size) })
}

// Stopped puts it in words if listening to a file was stopped by the user.
func Stopped(err error, name string) error {
	if errors.Is(err, context.Canceled) {
		return fmt.Errorf("stopped before %s was heard to its end", filepath.Base(name))
	}
	return err
}

// The folders of what was found, by hash of the file.
const (
	onsetsDir  = "onsets"
	changesDir = "changes"
)

// cacheFile is the file of a folder for the hash of a sound file.
func cacheFile(dir, hash string) string {
	return filepath.Join(xdg.CacheHome, "drylane", dir, hash+".json")
}

// cached returns the onsets kept for the hash of a file, or nil.
func cached(hash string) *onset.Music { return stored(cacheFile(onsetsDir, hash), onset.Read) }

// cachedScore returns the changes kept for the hash of a file, or nil.
func cachedScore(hash string) *phrase.Score { return stored(cacheFile(changesDir, hash), phrase.Read) }

// stored reads a file of the cache; nil where it is not there, or does not read.
func stored[T any](name string, read func(io.Reader) (*T, error)) *T {
	f, err := disk.Open(name)
	if err != nil {
		return nil
	}
	defer f.Close()
	x, err := read(f)
	if err != nil {
		return nil
	}
	return x
}

// ForReview hands onsets over to the review, as times.
func ForReview(m *onset.Music) review.Music {
	out := review.Music{Length: m.Length.At(m.Rate)}
	for _, a := range m.Accents {
		out.Accents = append(out.Accents, review.Accent{At: a.At.At(m.Rate), Strength: a.Strength, Rise: a.Rise, Loud: a.Loud, Gain: a.Gain})
	}
	for _, b := range m.Beats {
		out.Beats = append(out.Beats, b.At(m.Rate))
	}
	return out
}
