package folder

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"drylane/playback/disk"
	"drylane/show"
	"drylane/show/timebase"
)

// WriteRetimed writes a new show folder at to with the show's files and other
// cues. warnings are what is worth saying of the new show; missing are files that
// it names and does not have.
func (f *Folder) WriteRetimed(ctx context.Context, to string, cues []show.Cue) (warnings show.Problems, missing []string, err error) {
	place, err := f.outside(to)
	if err != nil {
		return nil, nil, err
	}
	cannot := func(err error) error { return fmt.Errorf("%s: the show cannot be written: %w", to, err) }
	err = write(to, place, func(root *os.Root) error {
		if missing, err = f.copyWith(ctx, root, cues); err != nil {
			return cannot(err)
		}
		if warnings, err = f.readsBack(root.FS(), cues); err != nil {
			return cannot(err)
		}
		return nil
	}, func(fs.FS) {})
	return warnings, missing, err
}

// outside checks that a folder can be made at to without touching the show, and
// returns where it is.
func (f *Folder) outside(to string) (string, error) {
	if err := Vacant(to); err != nil {
		return "", err
	}
	abs, err := filepath.Abs(to)
	if err != nil {
		return "", err
	}
	parent, err := filepath.EvalSymlinks(filepath.Dir(abs))
	if err != nil {
		return "", fmt.Errorf("--to: found no folder at %s to make it in: %w", filepath.Dir(to), disk.Plain(err))
	}
	old, err := filepath.EvalSymlinks(f.Path)
	if err != nil {
		return "", err
	}
	to = filepath.Join(parent, filepath.Base(abs))
	if rel, err := filepath.Rel(old, to); err == nil && rel != ".." && !strings.HasPrefix(rel, ".."+string(filepath.Separator)) {
		return "", fmt.Errorf("--to: found a folder inside %s; wanted one outside it", f.Path)
	}
	return to, nil
}

// copyWith copies the show's files and writes its cue list anew. missing are the
// companions that are not there to be copied.
func (f *Folder) copyWith(ctx context.Context, root *os.Root, cues []show.Cue) (missing []string, err error) {
	s := *f.Show
	s.Cues = slices.Clone(cues)
	// By line, as a person has ordered them.
	slices.SortStableFunc(s.Cues, func(a, b show.Cue) int { return cmp.Compare(a.Line, b.Line) })
	for _, name := range slices.Concat([]string{ShowFile, s.Soundtrack.File}, s.Calls.Files(), Companions(&s)) {
		if name == s.CuesFile {
			continue
		}
		err := f.copyFrom(ctx, root, name)
		if errors.Is(err, fs.ErrNotExist) && name != ShowFile && name != s.Soundtrack.File {
			missing = append(missing, name)
		} else if err != nil {
			return nil, fmt.Errorf("%s: %w", name, disk.Plain(err))
		}
	}
	return missing, create(root, s.CuesFile, func(w io.WriteSeeker) error { return s.WriteCues(w) })
}

func (f *Folder) copyFrom(ctx context.Context, root *os.Root, name string) error {
	open := func() (io.ReadCloser, error) { return f.Files.Open(name) }
	if name == f.Show.Soundtrack.File {
		open = func() (io.ReadCloser, error) { return f.MusicFile() }
	}
	r, err := open()
	if err != nil {
		return err
	}
	defer r.Close()
	return copyInto(ctx, root, name, r)
}

// readsBack holds what was written against what was meant, and returns the
// warnings of the new show.
func (f *Folder) readsBack(files fs.FS, cues []show.Cue) (show.Problems, error) {
	s, problems := show.Read(files)
	if s != nil {
		problems = append(problems, show.CheckLength(s, f.Music.Info().Duration())...)
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

// Companions are the files of a show's tracks and players, each once, other than
// the soundtrack.
func Companions(s *show.Show) []string {
	var names []string
	add := func(name string) {
		if name != "" && name != s.Soundtrack.File && !slices.Contains(names, name) {
			names = append(names, name)
		}
	}
	for _, t := range s.Tracks {
		add(t.File)
	}
	for _, p := range s.Players {
		add(p.File)
	}
	return names
}
