package main

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"time"

	"drylane/playback"
	"drylane/playback/deck"
	"drylane/playback/output"
	"drylane/show"
	"drylane/show/drill"
	"drylane/show/session"
	"drylane/show/timebase"
)

type drillCheckCmd struct {
	Drill []string `arg:"" help:"Drills that come with drylane, files of others, or folders of them." placeholder:"NAME|FILE|DIR"`
}

func (drillCheckCmd) Help() string {
	return "Reads drills, holds them against their shows, plays their example runs in the engine and holds the scores against those that the files promise.\n\nExample:\n\n  drylane drill check drills/windy.toml"
}

func (c drillCheckCmd) Run(e *env) error {
	var names []string
	for _, name := range c.Drill {
		if info, err := os.Stat(name); err == nil && info.IsDir() {
			files, _ := filepath.Glob(filepath.Join(name, "*.toml"))
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
	d, dir, err := findDrill(name)
	if err != nil {
		return err
	}
	l, err := openDrillShow(d, dir)
	if err != nil {
		return err
	}
	defer l.music.Close()
	if p := d.Check(l.show); p.Stop() {
		return p
	}
	if len(d.Examples) == 0 { // silence would look like a check that did not happen
		fmt.Fprintf(e.out, "%-20s reads well; it has no example run to score\n", d.Name)
	}
	var wrong []error
	for _, x := range d.Examples {
		result, err := playExample(e.ctx, l, d, x)
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

// playExample plays a drill's example in the engine, without sound and as fast
// as it goes, and scores its log.
func playExample(ctx context.Context, l *loaded, d *drill.Drill, x drill.Example) (*drill.Result, error) {
	script, err := show.ParseScript(d.Name+", example "+x.Name, strings.NewReader(x.Script))
	if err != nil {
		return nil, err
	}
	rate, length := l.music.Rate(), l.music.Len()
	exercise := d.Draw(x.Seed)
	sh := *l.show
	sh.Cues = exercise.Cues(l.show)
	played := *l
	played.show = &sh
	plan := show.NewPlan(sh.Cues, sh.Console, rate, timebase.Frame(length))
	silent := func() playback.Output { return output.Silent(output.Options{Rate: rate}, time.Now) }
	out := silent()
	header := played.header(plan, out)
	header.Drill = &session.Drill{Name: d.Name, Seed: x.Seed, File: d.Source}
	var file bytes.Buffer
	w, err := session.NewWriter(&file, nil, header)
	if err != nil {
		return nil, err
	}
	run := deck.New(deck.Config{Plan: plan, Cues: sh.Cues, Music: playback.NewSilence(length),
		Output: out, Reopen: func() (playback.Output, error) { return silent(), nil }, Silent: silent,
		Director: drill.NewDirector(exercise, rate), CountIn: time.Duration(sh.Console.CountIn) * deck.CountEvery,
		Log: w, LogCues: header.Cues, Script: script})
	if err := run.Run(ctx); err != nil {
		return nil, err
	}
	log, err := session.Read(&file)
	if err != nil {
		return nil, err
	}
	return drill.FromLog(x.Name, log)
}
