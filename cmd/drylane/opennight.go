package main

import (
	"errors"
	"fmt"

	"drylane/show/night"
)

// openNight opens every show of a night; the error tells of all that cannot be
// opened.
func openNight(folders []string) (shows []*loaded, err error) {
	for _, dir := range folders {
		l, e := openFolder(dir)
		if e != nil {
			err = errors.Join(err, fmt.Errorf("%s:\n%w", dir, e))
			continue
		}
		shows = append(shows, l)
	}
	if err != nil {
		closeNight(shows)
		return nil, err
	}
	return shows, nil
}

func closeNight(shows []*loaded) {
	for _, l := range shows {
		l.music.Close()
	}
}

// lockNight locks the shows of a night and tells what they take from each
// other.
func lockNight(e *env, folders []string) error {
	shows, err := openNight(folders)
	if err != nil {
		return err
	}
	defer closeNight(shows)
	var n night.Night
	for i, l := range shows {
		heading(e.out, i, len(shows), l.show.Title, folders[i])
		if err := lockShow(e, l, folders[i]); err != nil {
			return err
		}
		n = append(n, l.entry(e.ctx))
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
