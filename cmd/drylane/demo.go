package main

import (
	_ "embed"
	"strings"

	"drylane/playback/folder"
	"drylane/show"
	"drylane/testdata"
)

type demoCmd struct {
	runFlags
	fieldFlag
}

func (demoCmd) Help() string {
	return "In a terminal this is a real rehearsal; without one, a scripted rehearsal of the same show prints its events and a summary of the taps.\n\nExample:\n\n  drylane demo"
}

// demoScript is the rehearsal that runs where nobody can press keys.
//
//go:embed demo.txt
var demoScript string

func (d *demoCmd) Run(e *env) error {
	d.field = d.Field
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
		if script, err = show.ParseScript("demo.txt", strings.NewReader(demoScript)); d.Out == "auto" {
			d.Out, d.Speed = "silent", "max"
		}
	}
	if err != nil {
		return err
	}
	_, err = e.run(l, d.runFlags, d.writer(e), script, nil)
	return err
}
