package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"

	"drylane/playback"
	"drylane/playback/onset"

	"github.com/adrg/xdg"
)

type onsetsCmd struct {
	File string `arg:"" help:"The sound file." placeholder:"FILE"`
}

func (onsetsCmd) Help() string {
	return "Prints where things begin in the music, an onset a line: the time in seconds, then its strength, of which 1 is that of the strong accents of the piece.\n\nExample:\n\n  drylane onsets soundtrack.mp3"
}

func (o onsetsCmd) Run(e *env) error {
	m, err := e.onsets(o.File, func() (io.ReadSeekCloser, error) {
		f, err := os.Open(o.File)
		if err != nil {
			return nil, fmt.Errorf("%s cannot be opened: %w", o.File, plain(err))
		}
		return f, nil
	})
	if err != nil {
		return err
	}
	for _, a := range m.Accents {
		if _, err := fmt.Fprintf(e.out, "%.4f %.3f\n", a.At.At(m.Rate).Seconds(), a.Strength); err != nil {
			return err
		}
	}
	return nil
}

// onsets finds the onsets of a sound file, or takes them from the user's cache,
// where they lie under the hash of the sound.
func (e *env) onsets(name string, open func() (io.ReadSeekCloser, error)) (*onset.Music, error) {
	f, err := open()
	if err != nil {
		return nil, err
	}
	s, err := playback.Open(name, f)
	if err != nil {
		return nil, err
	}
	p := e.progress("reading " + filepath.Base(name))
	hash, err := playback.HashAudio(e.ctx, s, func(done, total int64) { p.done(float64(done) / float64(max(1, total))) })
	p.end()
	s.Close()
	if err != nil {
		return nil, stopped(err, name)
	}
	if m := cachedOnsets(hash); m != nil {
		return m, nil
	}
	p = e.progress("listening to " + filepath.Base(name))
	defer p.end()
	m, err := onset.Analyse(e.ctx, name, open, func(done, total playback.Frame) { p.done(float64(done) / float64(max(1, total))) })
	if err != nil {
		return nil, stopped(err, name)
	}
	// Without a cache the next time takes as long: no reason to fail.
	if os.MkdirAll(onsetCache(), 0o700) == nil {
		_ = writeWhole(filepath.Join(onsetCache(), hash+".json"), m.Write)
	}
	return m, nil
}

// stopped puts it in words if listening to a file was stopped by the user.
func stopped(err error, name string) error {
	if errors.Is(err, context.Canceled) {
		return fmt.Errorf("stopped before %s was heard to its end", filepath.Base(name))
	}
	return err
}

// onsetCache is the folder of the onsets that were found, by hash of the sound.
func onsetCache() string { return filepath.Join(xdg.CacheHome, "drylane", "onsets") }

// cachedOnsets returns the onsets kept for a sound, or nil.
func cachedOnsets(hash string) *onset.Music {
	f, err := os.Open(filepath.Join(onsetCache(), hash+".json"))
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
