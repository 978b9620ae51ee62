package companion

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"

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
	path string
	file *tracks.File
	plan *plan
	out  disk.Pending
}

// Build writes every track that show.toml describes, reads the files back, and
// only then gives them their names: all, or none.
func (b *Builder) Build(ctx context.Context) ([]Built, error) {
	wanted, err := b.wanted()
	if err != nil {
		return nil, err
	}
	master := tracks.NewMaster(b.Folder.OpenMusic)
	defer master.Close()
	var jobs []*job
	defer func() {
		for _, j := range jobs {
			j.out.Cleanup()
		}
	}()
	speaker := &speakers{ctx: ctx, pips: b.Pips, note: b.Note}
	fail := func(path string, err error) error {
		rest := ""
		if len(wanted) > 1 {
			rest = ", nor any other"
		}
		if errors.Is(err, context.Canceled) {
			return fmt.Errorf("stopped: nothing was written to %s", b.To)
		}
		return fmt.Errorf("%s was not written%s: %w", path, rest, disk.Plain(err))
	}
	for _, t := range wanted {
		p := &plan{show: b.Folder.Show, music: b.Folder.Music, master: master, speaker: speaker, bits: b.Bits}
		j := &job{path: b.path(t), plan: p}
		if j.file, err = p.file(t); err != nil {
			return nil, fail(j.path, err)
		}
		if j.out, err = pendingAt(j.path); err != nil {
			return nil, fail(j.path, err)
		}
		jobs = append(jobs, j)
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
func (b *Builder) wanted() (wanted []show.Track, err error) {
	for _, t := range b.Folder.Show.Tracks {
		if t.Left != "" || t.Right != "" {
			wanted = append(wanted, t)
			err = errors.Join(err, b.free(b.path(t)))
		}
	}
	if len(wanted) == 0 {
		return nil, errors.New("show.toml: found no [[track]] with left or right; wanted one for each file to be built")
	}
	return wanted, err
}

// path is where a track goes.
func (b *Builder) path(t show.Track) string {
	return filepath.Join(b.To, filepath.FromSlash(t.File))
}

// free refuses a path that is taken: by the master in any case, by another file
// unless it may be replaced.
func (b *Builder) free(path string) error {
	info, err := os.Stat(path)
	if err != nil {
		return nil
	}
	master, err := os.Stat(filepath.Join(b.Folder.Path, filepath.FromSlash(b.Folder.Show.Soundtrack.File)))
	switch {
	case err == nil && os.SameFile(info, master):
		return fmt.Errorf("%s: found the soundtrack itself there; wanted another place", path)
	case info.IsDir():
		return fmt.Errorf("%s: found a folder there; wanted a new name", path)
	case !b.Replace:
		return fmt.Errorf("%s: found a file there already; wanted a new name, or --replace", path)
	}
	return nil
}

// pendingAt opens a file that gets its path when it is whole.
func pendingAt(path string) (disk.Pending, error) {
	if err := os.MkdirAll(filepath.Dir(path), 0o755); err != nil {
		return nil, err
	}
	return disk.NewPending(path)
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
		if err := j.out.CloseAtomicallyReplace(); err != nil {
			return built, &tracks.FileError{Index: i, Err: err}
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
