package drill

import (
	"cmp"
	"io/fs"
	"slices"
	"strings"

	"drylane/show"
)

// List reads the drills of a folder: its files that end in .toml, the first
// steps first. The error, a show.Problems, tells what is wrong with those that
// do not read; the others are there all the same.
func List(fsys fs.FS) ([]*Drill, error) {
	entries, err := fs.ReadDir(fsys, ".")
	if err != nil {
		return nil, err
	}
	var drills []*Drill
	var problems show.Problems
	for _, e := range entries {
		if e.IsDir() || !strings.HasSuffix(e.Name(), ".toml") || e.Name() == "show.toml" { // a show may lie beside its drills
			continue
		}
		d, err := readFile(fsys, e.Name())
		if ps, ok := err.(show.Problems); ok {
			problems = append(problems, ps...)
		} else if err != nil {
			return nil, err
		} else {
			drills = append(drills, d)
		}
	}
	slices.SortStableFunc(drills, func(a, b *Drill) int {
		return cmp.Or(cmp.Compare(a.Level, b.Level), cmp.Compare(a.Name, b.Name))
	})
	if len(problems) > 0 {
		return drills, problems
	}
	return drills, nil
}

func readFile(fsys fs.FS, name string) (*Drill, error) {
	f, err := fsys.Open(name)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	return Parse(name, f)
}
