package main

import (
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"

	"drylane/playback"
	"drylane/playback/disk"
	"drylane/playback/tracks"
	"drylane/show"
	"drylane/show/words"
)

// build writes the tracks, reads them back, and only then gives them their
// names. What went wrong with one of them is a *tracks.FileError.
func (b *trackBuilder) build(wanted []show.Track) error {
	master := tracks.NewMaster(b.l.openMusic)
	defer master.Close()
	var (
		files []*tracks.File
		plans []*trackPlan
		outs  []disk.Pending
		ws    []io.WriteSeeker
	)
	defer func() {
		for _, out := range outs {
			out.Cleanup()
		}
	}()
	for i, t := range wanted {
		plan := &trackPlan{l: b.l, master: master, speaker: &b.speaker, bits: b.Bits}
		file, err := plan.file(t)
		if err != nil {
			return &tracks.FileError{Index: i, Err: err}
		}
		out, err := b.open(b.path(t))
		if err != nil {
			return &tracks.FileError{Index: i, Err: disk.Plain(err)}
		}
		files, plans, outs, ws = append(files, file), append(plans, plan), append(outs, out), append(ws, out)
	}
	p := b.e.progress("writing " + words.Count(len(wanted), "track"))
	clipped, err := tracks.BuildAll(b.e.ctx, ws, files, p.done)
	p.end()
	if err != nil {
		return plainFile(err)
	}
	found, err := b.verify(outs, files)
	if err != nil {
		return err
	}
	for i, out := range outs {
		if err := out.CloseAtomicallyReplace(); err != nil {
			return &tracks.FileError{Index: i, Err: disk.Plain(err)}
		}
		if err := b.report(b.path(wanted[i]), files[i], found[i], clipped[i], plans[i].notes); err != nil {
			return err
		}
	}
	return nil
}

// open opens a file that gets its path when it is whole.
func (b *trackBuilder) open(path string) (disk.Pending, error) {
	if err := os.MkdirAll(filepath.Dir(path), 0o755); err != nil {
		return nil, err
	}
	return disk.NewPending(path)
}

// plainFile is plain for what went wrong with one of the files.
func plainFile(err error) error {
	var one *tracks.FileError
	if errors.As(err, &one) {
		return &tracks.FileError{Index: one.Index, Err: disk.Plain(one.Err)}
	}
	return err
}

// verify reads the written files back and says what was found on either side.
func (b *trackBuilder) verify(outs []disk.Pending, files []*tracks.File) ([][2]string, error) {
	var built []*playback.Soundtrack
	defer func() {
		for _, s := range built {
			s.Close()
		}
	}()
	for i, out := range outs {
		s, err := playback.OpenFile(out.Name())
		if err != nil {
			return nil, &tracks.FileError{Index: i, Err: fmt.Errorf("read back, %w", err)}
		}
		built = append(built, s)
	}
	p := b.e.progress("reading " + words.Count(len(outs), "track"))
	defer p.end()
	found, err := tracks.VerifyAll(b.e.ctx, built, files, p.done)
	var one *tracks.FileError
	if errors.As(err, &one) {
		err = &tracks.FileError{Index: one.Index, Err: fmt.Errorf("read back, %w", one.Err)}
	}
	return found, err
}
