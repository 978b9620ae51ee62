package rehearsal

import (
	"bytes"
	"context"
	"strings"
	"time"

	"drylane/playback"
	"drylane/playback/deck"
	"drylane/playback/folder"
	"drylane/playback/output"
	"drylane/show"
	"drylane/show/drill"
	"drylane/show/session"
	"drylane/show/timebase"
)

// PlayExample plays a drill's example in the engine, without sound and as fast
// as it goes, and scores its log.
func PlayExample(ctx context.Context, f *folder.Folder, d *drill.Drill, x drill.Example, program string) (*drill.Result, error) {
	script, err := show.ParseScript(d.Name+", example "+x.Name, strings.NewReader(x.Script))
	if err != nil {
		return nil, err
	}
	rate, length := f.Music.Rate(), f.Music.Len()
	exercise := d.Draw(x.Seed)
	sh := *f.Show
	sh.Cues = exercise.Cues(f.Show)
	played := *f
	played.Show = &sh
	plan := show.NewPlan(sh.Cues, sh.Console, rate, timebase.Frame(length))
	silent := func() playback.Output { return output.Silent(output.Options{Rate: rate}, time.Now) }
	out := silent()
	h := header(&played, plan, out, program)
	h.Drill = &session.Drill{Name: d.Name, Seed: x.Seed, File: d.Source}
	cfg := deck.Config{Plan: plan, Cues: sh.Cues, Music: playback.NewSilence(length),
		Output: out, Reopen: func() (playback.Output, error) { return silent(), nil }, Silent: silent,
		Director: drill.NewDirector(exercise, rate), Checklist: sh.Console.Checklist, CountIn: time.Duration(sh.Console.CountIn) * deck.CountEvery,
		LogCues: h.Cues, Script: script}
	openBoard((&Exercise{Drill: d, drawn: exercise}).field(&played, plan), &h, &cfg)
	askDrill(d, f.Show, &h, &cfg)
	var file bytes.Buffer
	w, err := session.NewWriter(&file, nil, h)
	if err != nil {
		return nil, err
	}
	cfg.Log = w
	run := deck.New(cfg)
	if err := run.Run(ctx); err != nil {
		return nil, err
	}
	log, err := session.Read(&file)
	if err != nil {
		return nil, err
	}
	return drill.FromLog(x.Name, log)
}
