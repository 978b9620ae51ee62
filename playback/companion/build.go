package companion

import (
	"context"
	"errors"
	"fmt"
	"io"
	"path/filepath"
	"slices"

	"drylane/playback"
	"drylane/playback/disk"
	"drylane/playback/folder"
	"drylane/playback/tracks"
	"drylane/show"
	"drylane/show/words"
)

// A Builder builds the companion files of a show that is open.
type Builder struct {
	Folder  *folder.Folder
	To      string // the folder to write to
	Bits    int    // of a sample, 16 or 24; 0 for those of the music
	Pips    bool   // in place of spoken calls
	Replace bool   // what is there already

	// Note hears what is worth saying while the files are made, and Tell what is
	// being done and how much of it is over, 0 to 1.
	Note func(text string)
	Tell func(what string, part float64)
}

// A Built file is one that was written, read back, and found to be as planned.
type Built struct {
	Path    string
	File    *tracks.File
	Found   [2]string // on the left and the right, read back
	Clipped int64     // samples that went past full scale
	Notes   []string
}

// A job is a file that is being built.
type job struct {
	path  string
	track show.Track
	to    *disk.Target
	file  *tracks.File
	plan  *plan
	out   *disk.File // nil until it is begun
	undo  func()     // removes the folders that were made for it, if they are empty; nil for none
}

// Build writes every track that show.toml describes, reads the files back, and
// only then gives them their names: all, or none.
func (b *Builder) Build(ctx context.Context) ([]Built, error) {
	jobs, err := b.wanted(ctx)
	if err != nil {
		return nil, err
	}
	master := tracks.NewMaster(b.Folder.OpenMusic)
	defer master.Close()
	defer func() {
		for _, j := range slices.Backward(jobs) {
			j.out.Discard()
			if j.undo != nil {
				j.undo()
			}
		}
	}()
	speaker := &speakers{ctx: ctx, words: b.Folder.Show.Calls.Words, files: b.Folder.Files, pips: b.Pips, note: b.Note}
	fail := func(path string, err error) error {
		rest := ""
		if len(jobs) > 1 {
			rest = ", nor any other"
		}
		if errors.Is(err, context.Canceled) {
			return fmt.Errorf("stopped: nothing was written to %s", b.To)
		}
		return fmt.Errorf("%s was not written%s: %w", path, rest, disk.Plain(err))
	}
	for _, j := range jobs {
		j.plan = &plan{show: b.Folder.Show, music: b.Folder.Music, master: master, speaker: speaker, bits: b.Bits}
		if j.file, err = j.plan.file(j.track); err != nil {
			return nil, fail(j.path, err)
		}
		if j.undo, err = disk.MakeFolders(filepath.Dir(j.path)); err != nil {
			return nil, fail(j.path, err)
		}
		if j.out, err = j.to.Open(); err != nil {
			return nil, err
		}
	}
	built, err := b.make(ctx, jobs)
	var one *tracks.FileError
	if errors.As(err, &one) {
		return built, fail(jobs[one.Index].path, one.Err)
	} else if errors.Is(err, context.Canceled) {
		return built, fail("", err)
	}
	return built, err
}

// wanted are the tracks that are to be built. A path that is taken is refused
// before anything is made.
func (b *Builder) wanted(ctx context.Context) (jobs []*job, err error) {
	w := &disk.Writer{Replace: b.Replace, Context: ctx}
	folder.KeepSources(w, b.Folder.Path, b.Folder.Show)
	for _, t := range b.Folder.Show.Tracks {
		if t.Left == "" && t.Right == "" {
			continue
		}
		path := filepath.Join(b.To, filepath.FromSlash(t.File))
		to, e := w.Take("the track "+show.Clean(t.File), path)
		err = errors.Join(err, e)
		jobs = append(jobs, &job{path: path, track: t, to: to})
	}
	if len(jobs) == 0 {
		return nil, errors.New("show.toml: found no [[track]] with left or right; wanted one for each file to be built")
	}
	return jobs, err
}

// make writes the files, reads them back and gives them their names. What went
// wrong with one of them is a *tracks.FileError.
func (b *Builder) make(ctx context.Context, jobs []*job) ([]Built, error) {
	files, ws := make([]*tracks.File, len(jobs)), make([]io.WriteSeeker, len(jobs))
	for i, j := range jobs {
		files[i], ws[i] = j.file, j.out
	}
	doing := func(what string) func(float64) {
		return func(part float64) { b.Tell(what+" "+words.Count(len(jobs), "track"), part) }
	}
	clipped, err := tracks.BuildAll(ctx, ws, files, doing("writing"))
	if err != nil {
		return nil, err
	}
	found, err := verify(ctx, jobs, files, doing("reading"))
	if err != nil {
		return nil, err
	}
	if err := b.Folder.MusicChanged(); err != nil {
		return nil, err
	}
	var built []Built
	for i, j := range jobs {
		if err := j.out.Finish(); err != nil {
			return built, err
		}
		built = append(built, Built{j.path, j.file, found[i], clipped[i], j.plan.notes})
	}
	return built, nil
}

// verify reads the written files back and says what was found on either side.
func verify(ctx context.Context, jobs []*job, files []*tracks.File, told func(float64)) ([][2]string, error) {
	var built []*playback.Soundtrack
	defer func() {
		for _, s := range built {
			s.Close()
		}
	}()
	for i, j := range jobs {
		s, err := playback.OpenFile(j.out.Name())
		if err != nil {
			return nil, &tracks.FileError{Index: i, Err: fmt.Errorf("read back, %w", err)}
		}
		built = append(built, s)
	}
	found, err := tracks.VerifyAll(ctx, built, files, told)
	var one *tracks.FileError
	if errors.As(err, &one) {
		err = &tracks.FileError{Index: one.Index, Err: fmt.Errorf("read back, %w", one.Err)}
	}
	return found, err
}
