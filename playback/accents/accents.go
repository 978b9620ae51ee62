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
	"drylane/show/review"
	"drylane/show/timebase"

	"github.com/adrg/xdg"
)

// Find finds the onsets of a sound file, or takes them from the user's cache,
// where they lie under the hash of the file's bytes: to hash the sound itself, the
// file would have to be decoded once more, only to be asked for. tell is told what
// is being done and how much of it is over, 0 to 1.
func Find(ctx context.Context, name string, open func() (io.ReadSeekCloser, error), tell func(what string, part float64)) (*onset.Music, error) {
	f, err := open()
	if err != nil {
		return nil, err
	}
	s, err := playback.Open(name, f)
	if err != nil {
		return nil, err
	}
	base := filepath.Base(name)
	part := func(done, total int64) float64 { return float64(done) / float64(max(1, total)) }
	hash, err := hashWhole(ctx, f, func(done, total int64) { tell("reading "+base, part(done, total)) })
	s.Close()
	if err != nil {
		return nil, Stopped(err, name)
	}
	if m := cached(hash); m != nil {
		return m, nil
	}
	m, err := onset.Analyse(ctx, name, open, func(done, total timebase.Frame) { tell("listening to "+base, part(int64(done), int64(total))) })
	if err != nil {
		return nil, Stopped(err, name)
	}
	// Without a cache the next time takes as long: no reason to fail.
	if os.MkdirAll(cacheDir(), 0o700) == nil {
		_ = disk.WriteWhole(filepath.Join(cacheDir(), hash+".json"), m.Write)
	}
	return m, nil
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

// cacheDir is the folder of the onsets that were found, by hash of the file.
func cacheDir() string { return filepath.Join(xdg.CacheHome, "drylane", "onsets") }

// cached returns the onsets kept for the hash of a file, or nil.
func cached(hash string) *onset.Music {
	f, err := disk.Open(filepath.Join(cacheDir(), hash+".json"))
	if err != nil {
		return nil
	}
	defer f.Close()
	m, err := onset.Read(f)
	if err != nil {
		return nil
	}
	return m
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
