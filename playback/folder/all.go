package folder

import (
	"errors"
	"fmt"
	"os"
	"path/filepath"

	"drylane/playback/disk"
)

// ShowFile is the name of the file that says what a show folder holds.
const ShowFile = "show.toml"

// List lists the show folders that the arguments mean: each itself, or, where it
// has no show.toml, those of its folders that have one, by name.
func List(dirs ...string) ([]string, error) {
	var folders []string
	met := map[string]bool{}
	for _, dir := range dirs {
		for _, folder := range showsIn(dir) {
			real, err := filepath.EvalSymlinks(folder)
			if err != nil {
				real = folder // whoever opens it says what is wrong with it
			}
			if real, err = filepath.Abs(real); err != nil {
				return nil, fmt.Errorf("%s: %w", folder, disk.Plain(err))
			}
			if met[real] {
				return nil, fmt.Errorf("%s: found the same show folder twice; wanted each show once", folder)
			}
			met[real] = true
			folders = append(folders, folder)
		}
	}
	return folders, nil
}

// showsIn lists the shows in a folder of shows; any other folder is the only
// one in its list.
func showsIn(dir string) []string {
	isShow := func(dir string) bool {
		_, err := os.Stat(filepath.Join(dir, ShowFile))
		return err == nil
	}
	if isShow(dir) {
		return []string{dir}
	}
	list, err := os.ReadDir(dir) // sorted by name
	if err != nil {
		return []string{dir}
	}
	var shows []string
	for _, f := range list {
		if sub := filepath.Join(dir, f.Name()); isShow(sub) {
			shows = append(shows, sub)
		}
	}
	if len(shows) == 0 {
		return []string{dir}
	}
	return shows
}

// OpenAll opens every folder; the error tells of all that cannot be opened, and
// then none is open.
func OpenAll(dirs []string) (folders []*Folder, err error) {
	for _, dir := range dirs {
		f, e := Open(dir)
		if e != nil {
			err = errors.Join(err, fmt.Errorf("%s:\n%w", dir, e))
			continue
		}
		folders = append(folders, f)
	}
	if err != nil {
		CloseAll(folders)
		return nil, err
	}
	return folders, nil
}

// CloseAll closes them.
func CloseAll(folders []*Folder) {
	for _, f := range folders {
		f.Close()
	}
}
