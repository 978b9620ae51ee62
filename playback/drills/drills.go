// Package drills finds drills and the shows that they are run on: those that come
// along, and files of others.
package drills

import (
	"fmt"
	"io/fs"
	"math/rand/v2"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"drylane/playback/disk"
	"drylane/playback/folder"
	"drylane/show"
	"drylane/show/drill"
)

// A Shelf is where drills are found.
type Shelf struct {
	Shipped fs.FS // the drills that come along
	Demo    fs.FS // the show that a drill names "demo"
}

// Any returns one of the shipped drills, of a level from 1 to 4, or of any for 0.
func (s Shelf) Any(level int) (*drill.Drill, error) {
	list, err := drill.List(s.Shipped)
	if err != nil {
		return nil, err
	}
	list = slices.DeleteFunc(list, func(d *drill.Drill) bool { return level != 0 && d.Level != level })
	if len(list) == 0 {
		return nil, fmt.Errorf("--among: found %d; wanted 1 to 4", level)
	}
	return list[rand.IntN(len(list))], nil
}

// Find reads a drill and returns where its show is looked for: the
// folder of its file, or nothing for one that comes with drylane. name is one of
// those, or a file, or a folder with one drill in it.
func (s Shelf) Find(name string) (d *drill.Drill, dir string, err error) {
	if name, err = s.only(name); err != nil {
		return nil, "", err
	}
	if strings.HasSuffix(name, ".toml") || strings.ContainsAny(name, `/\`) {
		f, err := disk.OpenText(name, "drill")
		if err != nil {
			return nil, "", err
		}
		defer f.Close()
		d, err = drill.Parse(name, f)
		return d, filepath.Dir(name), err
	}
	f, err := s.Shipped.Open(name + ".toml")
	if err != nil {
		return nil, "", fmt.Errorf("%q is no drill that comes with drylane; \"drylane drill list\" lists them, and the file of another is named with its .toml", show.Shorten(name, 60))
	}
	defer f.Close()
	d, err = drill.Parse(name+".toml", f)
	return d, "", err
}

// only returns the file of the one drill in a folder, and name itself when
// it is no folder.
func (s Shelf) only(name string) (string, error) {
	if _, err := fs.Stat(s.Shipped, name+".toml"); err == nil {
		return name, nil // whatever lies here by that name
	}
	if info, err := os.Stat(name); err != nil || !info.IsDir() {
		return name, nil
	}
	files := disk.Files(filepath.Join(name, "*.toml"))
	files = slices.DeleteFunc(files, func(f string) bool { return filepath.Base(f) == "show.toml" })
	switch len(files) {
	case 0:
		return "", fmt.Errorf("%s: found no drill; wanted a file that ends in .toml", name)
	case 1:
		return files[0], nil
	}
	return "", fmt.Errorf("%s: found %d drills; wanted one of them: %s", name, len(files), strings.Join(files, ", "))
}

// Open opens the show that a drill is run on; dir is what Find returned.
func (s Shelf) Open(d *drill.Drill, dir string) (*folder.Folder, error) {
	if d.Show == "demo" {
		return folder.OpenFS("demo", s.Demo)
	}
	return folder.Open(filepath.Join(dir, filepath.FromSlash(d.Show)))
}
