package folder

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"

	"drylane/playback"
	"drylane/playback/disk"
	"drylane/show"
	"drylane/show/exchange"
)

// An Imported is a cue list that is to become a show folder.
type Imported struct {
	Title      string // empty for the folder's name
	Soundtrack string // the path of the music, which is copied; empty when it is yet to come
	Cues       []show.Cue
}

// NoSoundtrack is the name of music that is yet to come.
const NoSoundtrack = "soundtrack.wav"

// Write makes the show folder at to. warnings are what is worth saying of the
// show, a line each; wrong is what keeps it from being rehearsed as it is: the
// folder is there all the same, to mend it in. err is why there is none.
func (im Imported) Write(ctx context.Context, to string) (warnings []string, wrong, err error) {
	err = writeNew(to,
		func(root *os.Root) error { return im.fill(ctx, root, to) },
		func(files fs.FS) { warnings, wrong = im.check(to, files) })
	return warnings, wrong, err
}

// fill writes the files of the show.
func (im Imported) fill(ctx context.Context, root *os.Root, to string) error {
	f := exchange.Folder{Title: im.titleIn(to), Soundtrack: NoSoundtrack, Cues: im.Cues}
	if im.Soundtrack != "" {
		f.Soundtrack = soundtrackName(im.Soundtrack)
		var err error
		var unfit *playback.OpenError
		if f.SHA256, err = copyMusic(ctx, root, f.Soundtrack, im.Soundtrack); errors.As(err, &unfit) {
			return err
		} else if err != nil {
			return fmt.Errorf("%s: the soundtrack cannot be copied: %w", im.Soundtrack, disk.Plain(err))
		}
	}
	if err := f.Write(writeIn(root)); err != nil {
		return fmt.Errorf("%s: the show cannot be written: %w", to, err)
	}
	return nil
}

// titleIn is the show's title: what was given, or the folder's name.
func (im Imported) titleIn(to string) string {
	if t := strings.TrimSpace(show.Clean(im.Title)); t != "" {
		return t
	}
	abs, err := filepath.Abs(to)
	if err != nil {
		abs = to
	}
	return show.Clean(filepath.Base(abs))
}

// soundtrackName is the name of the music in the folder: its own, where that
// can stand in show.toml and is no other file's.
func soundtrackName(path string) string {
	name := filepath.Base(path)
	odd := show.Clean(name) != name || strings.TrimSpace(name) != name || strings.ContainsAny(name, `\:`) || strings.HasPrefix(name, ".")
	if lower := strings.ToLower(name); odd || lower == ShowFile || lower == "cues.csv" {
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
	f, err := disk.Open(path)
	if err != nil {
		return "", err
	}
	defer f.Close()
	hash := sha256.New()
	err = copyInto(ctx, root, name, f, hash)
	return hex.EncodeToString(hash.Sum(nil)), err
}

// check reads the folder as a rehearsal would.
func (im Imported) check(to string, files fs.FS) (warnings []string, wrong error) {
	if im.Soundtrack == "" {
		s, problems := show.LoadAll(files)
		if s == nil {
			return nil, problems
		}
		for _, p := range problems {
			warnings = append(warnings, p.Severity.String()+": "+p.Error())
		}
		return warnings, nil
	}
	f, err := OpenFS(to, files)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	return f.Warnings, nil
}
