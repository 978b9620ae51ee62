package main

import (
	"fmt"
	"path/filepath"
	"time"

	"drylane/playback/folder"
	"drylane/playback/inspect"
	"drylane/show"
	"drylane/show/lock"
	"drylane/show/night"
	"drylane/show/words"
)

type lockCmd struct {
	Dir  string   `arg:"" help:"The show folder, or a folder of shows." placeholder:"DIR"`
	More []string `arg:"" optional:"" help:"More of them: the shows of one night." placeholder:"DIR"`
	cacheFlag
}

func (lockCmd) Help() string {
	return "Writes show.lock into the folder: hashes of the show, of every cue, of the soundtrack and of the companion files, as they were rehearsed. \"drylane check\" then says what has changed since, and the console whether the show is as locked.\n\n" +
		nightHelp + " All are locked, or none if one cannot be; exit code 1 when they need the same pins.\n\nExamples:\n\n  drylane lock shows/harbour\n  drylane lock shows"
}

func (c lockCmd) Run(e *env) error {
	folders, err := folder.List(append([]string{c.Dir}, c.More...)...)
	if err != nil {
		return err
	}
	if len(folders) > 1 {
		return lockNight(e, folders)
	}
	l, err := folder.Open(folders[0])
	if err != nil {
		return err
	}
	defer l.Close()
	return lockShow(e, l)
}

// lockShow writes the lock of an opened show into its folder.
func lockShow(e *env, l *folder.Folder) error {
	now, err := inspect.Pin(e.ctx, l, time.Now())
	if err != nil {
		return err
	}
	for _, f := range now.Files {
		if f.SHA256 == "" {
			fmt.Fprintf(e.errOut, "warn: %s is not there and was locked as missing\n", show.Clean(f.File))
		}
	}
	_, err = fmt.Fprintf(e.out, "%s: locked, %s and %s, %s, in %s\n", l.Show.Title, words.Count(len(now.Cues), "cue"), words.Count(len(now.Files), "file"),
		now.Locked.Format("2006-01-02 15:04 MST"), show.Clean(filepath.Join(l.Path, lock.File)))
	return err
}

// lockNight locks the shows of a night and tells what they take from each
// other.
func lockNight(e *env, folders []string) error {
	shows, err := folder.OpenAll(folders)
	if err != nil {
		return err
	}
	defer folder.CloseAll(shows)
	var n night.Night
	for i, l := range shows {
		heading(e.out, i, len(shows), l.Show.Title, folders[i])
		if err := lockShow(e, l); err != nil {
			return err
		}
		n = append(n, inspect.OpenForNight(e.ctx, l))
	}
	between := reportOf(nightTitle, n.Findings(n.Conflicts()))
	if err := printBetween(e.out, between); err != nil {
		return err
	}
	if between.Stops > 0 {
		return errSilent
	}
	return nil
}
