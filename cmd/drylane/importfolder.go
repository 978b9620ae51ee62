package main

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"strings"

	"drylane/playback"
	"drylane/playback/disk"
	"drylane/show"
	"drylane/show/exchange"
)

// vacant refuses a folder with something in it.
func vacant(dir string) error {
	list, err := os.ReadDir(dir)
	switch {
	case err == nil && len(list) > 0:
		return fmt.Errorf("--to: found a folder with files in it at %s; wanted a new or an empty one", dir)
	case err != nil && !errors.Is(err, fs.ErrNotExist):
		return fmt.Errorf("--to: %s is no folder: %w", dir, disk.Plain(err))
	}
	return nil
}

// write makes the show folder: whole, under another name at first, or not at
// all. What is wrong with the show that it holds is printed; if it cannot be
// rehearsed as it is, that is an error, and the folder is there to mend it in.
func (c *importCmd) write(e *env, cues []show.Cue) error {
	if len(cues) == 0 {
		return errors.New("found no row that can become a cue; nothing was written")
	}
	to, err := filepath.Abs(c.To)
	if err != nil {
		return err
	}
	if err := os.MkdirAll(filepath.Dir(to), 0o755); err != nil {
		return fmt.Errorf("%s: the folder cannot be made: %w", c.To, disk.Plain(err))
	}
	part, err := os.MkdirTemp(filepath.Dir(to), ".drylane-*")
	if err != nil {
		return fmt.Errorf("%s: the folder cannot be made: %w", c.To, disk.Plain(err))
	}
	defer os.RemoveAll(part) // gone by then if all went well
	if err := c.fill(e, part, cues); err != nil {
		return err
	}
	wrong := c.check(e, part)
	if err := errors.Join(os.Chmod(part, 0o755), publish(part, to)); err != nil {
		return fmt.Errorf("%s: the folder cannot be made: %w", c.To, disk.Plain(err))
	}
	fmt.Fprintf(e.out, "%s: written, %d cues\n", c.To, len(cues))
	switch {
	case wrong != nil:
		return fmt.Errorf("%w\n%s: the show cannot be rehearsed until this is mended, in its files or in what was imported", wrong, c.To)
	case c.Soundtrack == "":
		fmt.Fprintf(e.out, "Put the music there as %s, or name it in show.toml.\n", noSoundtrack)
	}
	return nil
}

// noSoundtrack is the name of music that is yet to come.
const noSoundtrack = "soundtrack.wav"

// fill writes the files of the show.
func (c *importCmd) fill(e *env, part string, cues []show.Cue) error {
	root, err := os.OpenRoot(part)
	if err != nil {
		return err
	}
	defer root.Close()
	f := exchange.Folder{Title: c.titleOf(), Soundtrack: noSoundtrack, Cues: cues}
	if c.Soundtrack != "" {
		f.Soundtrack = soundtrackName(c.Soundtrack)
		var unfit *playback.OpenError
		if f.SHA256, err = copyMusic(e.ctx, root, f.Soundtrack, c.Soundtrack); errors.As(err, &unfit) {
			return err
		} else if err != nil {
			return fmt.Errorf("%s: the soundtrack cannot be copied: %w", c.Soundtrack, disk.Plain(err))
		}
	}
	err = f.Write(func(name string, data []byte) error {
		return create(root, name, func(w io.Writer) error {
			_, err := w.Write(data)
			return err
		})
	})
	if err != nil {
		return fmt.Errorf("%s: the show cannot be written: %w", c.To, err)
	}
	return nil
}

// soundtrackName is the name of the music in the folder: its own, where that
// can stand in show.toml and is no other file's.
func soundtrackName(path string) string {
	name := filepath.Base(path)
	odd := show.Clean(name) != name || strings.TrimSpace(name) != name || strings.ContainsAny(name, `\:`) || strings.HasPrefix(name, ".")
	if lower := strings.ToLower(name); odd || lower == "show.toml" || lower == "cues.csv" {
		return "soundtrack" + strings.ToLower(show.Clean(filepath.Ext(name)))
	}
	return name
}

// copyMusic copies the soundtrack and returns its hash. A file that is no
// music is refused before.
func copyMusic(ctx context.Context, root *os.Root, name, path string) (string, error) {
	s, err := playback.OpenFile(path)
	if err != nil {
		return "", err
	}
	s.Close()
	f, err := os.Open(path)
	if err != nil {
		return "", err
	}
	defer f.Close()
	hash := sha256.New()
	err = create(root, name, func(w io.Writer) error {
		_, err := io.Copy(io.MultiWriter(w, hash), stoppable{ctx, f})
		return err
	})
	return hex.EncodeToString(hash.Sum(nil)), err
}

// check reads the folder as a rehearsal would; the error is what forbids one.
func (c *importCmd) check(e *env, part string) error {
	root, err := os.OpenRoot(part)
	if err != nil {
		return err
	}
	defer root.Close() // some systems do not rename an open folder
	if c.Soundtrack == "" {
		s, problems := show.LoadAll(root.FS())
		if s == nil {
			return problems
		}
		for _, p := range problems {
			fmt.Fprintln(e.errOut, p.Severity.String()+": "+p.Error())
		}
		return nil
	}
	l, err := openShow(c.To, root.FS())
	if err != nil {
		return err
	}
	defer l.music.Close()
	for _, w := range l.warn {
		fmt.Fprintln(e.errOut, w)
	}
	return nil
}
