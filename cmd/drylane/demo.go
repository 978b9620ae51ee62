package main

import (
	_ "embed"
	"fmt"
	"path/filepath"
	"strings"

	"drylane/playback/folder"
	"drylane/playback/sessions"
	"drylane/show"
	"drylane/show/closeout"
	"drylane/testdata"
)

type demoCmd struct {
	runFlags
	fieldFlag
	Day bool `help:"A whole show day on the demo: field board, go / no-go, a failed start, make safe, a start from a place, close-out. Walks and waiting take seconds."`
}

func (demoCmd) Help() string {
	return "In a terminal this is a real rehearsal; without one, a scripted rehearsal of the same show prints its events and a summary of the taps.\n\nExamples:\n\n  drylane demo\n  drylane demo --day"
}

// demoScript is the rehearsal that runs where nobody can press keys.
//
//go:embed demo.txt
var demoScript string

func (d *demoCmd) Run(e *env) error {
	name, text := "demo.txt", demoScript
	if d.field = d.Field; d.Day {
		d.short = true
		name, text = "day.txt", testdata.Day
		if d.field == nil {
			seed := testdata.DayField
			d.field = &seed
		}
	}
	l, err := folder.OpenFS("demo", testdata.Demo())
	if err != nil {
		return err
	}
	defer l.Close()
	var script []show.ScriptStep
	switch {
	case d.Auto != "":
		script, err = readScript(d.Auto)
	case !e.terminal() && !(d.Plain && e.keys()):
		if script, err = show.ParseScript(name, strings.NewReader(text)); d.Out == "auto" {
			d.Out, d.Speed = "silent", "max"
		}
	}
	if err != nil {
		return err
	}
	log, err := e.run(l, d.runFlags, d.writer(e), script, nil)
	if err != nil || !d.Day || d.JSON {
		return err
	}
	return e.closeOut(log)
}

// closeOut prints what is left in the field after a session.
func (e *env) closeOut(path string) error {
	log, err := sessions.Read(path)
	if err != nil {
		return err
	}
	r, err := closeout.New(filepath.Base(path), log, nil)
	if err != nil {
		return err
	}
	fmt.Fprintln(e.out)
	return r.WriteText(e.out)
}
