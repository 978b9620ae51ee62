package main

import (
	"errors"
	"fmt"
	"os"
	"path/filepath"

	"drylane/playback/disk"
	"drylane/playback/rehearsal"
)

type drillCheckCmd struct {
	Drill []string `arg:"" help:"Drills that come with drylane, files of others, or folders of them." placeholder:"NAME|FILE|DIR"`
}

func (drillCheckCmd) Help() string {
	return "Reads drills, checks them against their shows, plays their example runs in the engine and checks the scores against those that the files promise.\n\nExample:\n\n  drylane drill check drills/windy.toml"
}

func (c drillCheckCmd) Run(e *env) error {
	var names []string
	for _, name := range c.Drill {
		if info, err := os.Stat(name); err == nil && info.IsDir() {
			files := disk.Files(filepath.Join(name, "*.toml"))
			if len(files) == 0 {
				return fmt.Errorf("%s: found no drills; wanted files that end in .toml", name)
			}
			names = append(names, files...)
			continue
		}
		names = append(names, name)
	}
	var wrong []error
	for _, name := range names {
		if err := e.checkDrill(name); err != nil {
			wrong = append(wrong, err)
		}
	}
	return errors.Join(wrong...)
}

// checkDrill checks one drill and prints what its examples got.
func (e *env) checkDrill(name string) error {
	d, dir, err := shelf().Find(name)
	if err != nil {
		return err
	}
	l, err := shelf().Open(d, dir)
	if err != nil {
		return err
	}
	defer l.Close()
	if p := d.Check(l.Show); p.Stop() {
		return p
	}
	if len(d.Examples) == 0 { // silence would look like a check that did not happen
		fmt.Fprintf(e.out, "%-20s reads well; it has no example run to score\n", d.Name)
	}
	var wrong []error
	for _, x := range d.Examples {
		result, err := rehearsal.PlayExample(e.ctx, l, d, x, "drylane "+programVersion())
		if err != nil {
			wrong = append(wrong, fmt.Errorf("%s: example %s: %w", d.Name, x.Name, err))
			continue
		}
		fmt.Fprintf(e.out, "%-20s %-8s %3d of 100\n", d.Name, x.Name, result.Score)
		if result.Score != x.Score {
			wrong = append(wrong, fmt.Errorf("%s: example %s: found %d marks; wanted the %d that the file promises", d.Name, x.Name, result.Score, x.Score))
		}
	}
	return errors.Join(wrong...)
}
