package main

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"drylane/playback/disk"
	"drylane/show"
	"drylane/show/timebase"
)

// write makes the new folder: whole, under another name at first, or not at
// all. It returns what is worth saying of the new show.
func (c *retimeCmd) write(e *env, l *loaded, cues []show.Cue, length time.Duration) (show.Problems, error) {
	to, err := newFolder(l.folder, c.To)
	if err != nil {
		return nil, err
	}
	part, err := os.MkdirTemp(filepath.Dir(to), ".drylane-*")
	if err != nil {
		return nil, fmt.Errorf("%s: the folder cannot be made: %w", c.To, disk.Plain(err))
	}
	defer os.RemoveAll(part) // gone by then if all went well
	warnings, err := build(e, part, l, cues, length)
	if err != nil {
		return nil, fmt.Errorf("%s: the show cannot be written: %w", c.To, err)
	}
	if err := errors.Join(os.Chmod(part, 0o755), publish(part, to)); err != nil {
		return nil, fmt.Errorf("%s: the folder cannot be made: %w", c.To, disk.Plain(err))
	}
	return warnings, nil
}

// build writes the show into the folder dir and reads it back.
func build(e *env, dir string, l *loaded, cues []show.Cue, length time.Duration) (show.Problems, error) {
	root, err := os.OpenRoot(dir)
	if err != nil {
		return nil, err
	}
	defer root.Close() // before dir is renamed: some systems need that
	if err := fill(e, root, l, cues); err != nil {
		return nil, err
	}
	return readsBack(root.FS(), cues, length)
}

// publish gives the finished folder its name, in place of an empty one.
func publish(part, to string) error {
	if err := os.Remove(to); err != nil && !errors.Is(err, fs.ErrNotExist) {
		return err
	}
	return os.Rename(part, to)
}

// newFolder checks that to can be made without touching the show in dir, and
// returns where it is.
func newFolder(dir, to string) (string, error) {
	if list, err := os.ReadDir(to); err == nil && len(list) > 0 {
		return "", fmt.Errorf("--to: found a folder with files in it at %s; wanted a new or an empty one", to)
	} else if err != nil && !errors.Is(err, fs.ErrNotExist) {
		return "", fmt.Errorf("--to: %s is no folder: %w", to, disk.Plain(err))
	}
	abs, err := filepath.Abs(to)
	if err != nil {
		return "", err
	}
	parent, err := filepath.EvalSymlinks(filepath.Dir(abs))
	if err != nil {
		return "", fmt.Errorf("--to: found no folder at %s to make it in: %w", filepath.Dir(to), disk.Plain(err))
	}
	old, err := filepath.EvalSymlinks(dir)
	if err != nil {
		return "", err
	}
	to = filepath.Join(parent, filepath.Base(abs))
	if rel, err := filepath.Rel(old, to); err == nil && rel != ".." && !strings.HasPrefix(rel, ".."+string(filepath.Separator)) {
		return "", fmt.Errorf("--to: found a folder inside %s; wanted one outside it", dir)
	}
	return to, nil
}

// fill copies the show's files and writes the cue list anew.
func fill(e *env, root *os.Root, l *loaded, cues []show.Cue) error {
	s := *l.show
	s.Cues = slices.Clone(cues)
	// By line, as a person has ordered them.
	slices.SortStableFunc(s.Cues, func(a, b show.Cue) int { return cmp.Compare(a.Line, b.Line) })
	names := []string{"show.toml", s.Soundtrack.File}
	for _, t := range s.Tracks {
		names = append(names, t.File)
	}
	for _, p := range s.Players {
		names = append(names, p.File)
	}
	done := map[string]bool{s.CuesFile: true}
	for i, name := range names {
		if done[name] {
			continue
		}
		done[name] = true
		err := copyIn(e.ctx, root, l.fsys, name)
		if i >= 2 && errors.Is(err, fs.ErrNotExist) {
			fmt.Fprintf(e.errOut, "note: %s is not in the show folder; it was not copied\n", name)
		} else if err != nil {
			return fmt.Errorf("%s: %w", name, disk.Plain(err))
		}
	}
	return create(root, s.CuesFile, s.WriteCues)
}

func copyIn(ctx context.Context, root *os.Root, from fs.FS, name string) error {
	f, err := from.Open(name)
	if err != nil {
		return err
	}
	defer f.Close()
	return create(root, name, func(w io.Writer) error {
		_, err := io.Copy(w, stoppable{ctx, f})
		return err
	})
}

// create writes a file in root, on disk when it returns.
func create(root *os.Root, name string, write func(io.Writer) error) error {
	if dir := path.Dir(name); dir != "." {
		if err := root.MkdirAll(dir, 0o755); err != nil {
			return err
		}
	}
	f, err := root.OpenFile(name, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o644)
	if err != nil {
		return err
	}
	if err := errors.Join(write(f), f.Sync()); err != nil {
		f.Close()
		return err
	}
	return f.Close()
}

// stoppable ends a long copy when ctx does.
type stoppable struct {
	ctx context.Context
	r   io.Reader
}

func (s stoppable) Read(p []byte) (int, error) {
	if err := s.ctx.Err(); err != nil {
		return 0, err
	}
	return s.r.Read(p)
}

// readsBack holds what was written against what was meant, and returns the
// warnings of the new show.
func readsBack(fsys fs.FS, cues []show.Cue, length time.Duration) (show.Problems, error) {
	s, problems := show.Read(fsys)
	if s != nil {
		problems = append(problems, show.CheckLength(s, length)...)
	}
	if problems.Stop() {
		return nil, problems
	}
	if len(s.Cues) != len(cues) {
		return nil, fmt.Errorf("found %d cues when reading it back; wanted %d", len(s.Cues), len(cues))
	}
	for i, c := range s.Cues {
		if want := cues[i]; c.ID != want.ID || c.EffectAt != want.EffectAt || c.Prefire != want.Prefire {
			return nil, fmt.Errorf("found cue %s at %s when reading it back; wanted cue %s at %s", c.ID, timebase.ClockMillis(c.EffectAt), want.ID, timebase.ClockMillis(want.EffectAt))
		}
	}
	return problems, nil
}
