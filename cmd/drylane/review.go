package main

import (
	"errors"
	"fmt"
	"time"

	"drylane/playback"
	"drylane/playback/accents"
	"drylane/playback/folder"
	"drylane/playback/onset"
	"drylane/show/review"
	"drylane/show/timebase"
	"drylane/show/words"
)

type reviewCmd struct {
	Dir  string `arg:"" help:"The show folder." placeholder:"DIR"`
	Cues bool   `help:"List every cue with its accent."`
	JSON bool   `name:"json" help:"Print the figures as JSON."`
	HTML string `name:"html" placeholder:"OUT" help:"Write the review as one page of HTML, too."`
	replaceFlag
	Fix  string `placeholder:"NEWDIR" help:"Ask of each shift that was found whether to take it out, and write the show with those confirmed into NEWDIR."`
	List bool   `help:"With --fix: list every cue that moved."`
}

func (reviewCmd) Help() string {
	return "Listens to the soundtrack and tells whether the cues land on its accents: the whole list, each position, each stretch of the show. What the music cannot tell is said to be so.\n\nExample:\n\n  drylane review shows/harbour --html review.html\n  drylane review shows/harbour --fix shows/harbour-2"
}

func (r reviewCmd) Run(e *env) error {
	if r.List && r.Fix == "" {
		return errors.New("--list: found no --fix; wanted both, or --cues to list every cue with its accent")
	}
	l, err := folder.Open(r.Dir)
	if err != nil {
		return err
	}
	defer l.Close()
	w := r.writer(e)
	folder.Keep(w, l.Path, l.Show)
	html, err := w.Take("--html", r.HTML)
	if err != nil {
		return err
	}
	p := e.progress("")
	defer p.end()
	m, err := accents.Find(e.ctx, l.Show.Soundtrack.File, l.MusicFile, p.tell)
	if err != nil {
		return err
	}
	music := accents.ForReview(m)
	rep := review.Check(l.Show.Cues, music)
	if html != nil {
		wave, err := e.wave(l, m)
		if err != nil {
			return err
		}
		page := review.Page{Title: l.Show.Title, Made: time.Now(), Report: rep, Music: music, Wave: wave}
		if err := html.Write(page.WriteHTML); err != nil {
			return err
		}
	}
	if r.JSON {
		return printJSON(e.out, rep)
	}
	if _, err := fmt.Fprintf(e.out, "%s, %s, %s\n\n", l.Show.Title, words.Count(len(l.Show.Cues), "cue"), words.Count(len(m.Accents), "accent")); err != nil {
		return err
	}
	if err := rep.WriteText(e.out, r.Cues); err != nil || r.Fix == "" {
		return err
	}
	return r.fix(e, l, rep)
}

// wave returns the soundtrack's peaks, review.WaveHz a second.
func (e *env) wave(l *folder.Folder, m *onset.Music) ([]float32, error) {
	o := playback.NewOverview(m.Rate, m.Length)
	p := e.progress("drawing")
	defer p.end()
	err := playback.Pass(e.ctx, l.Show.Soundtrack.File, l.MusicFile,
		func(start timebase.Frame, frames [][2]float64) error {
			o.Add(frames)
			p.done(float64(start) / float64(max(1, m.Length)))
			return nil
		})
	if err != nil {
		return nil, accents.Stopped(err, l.Show.Soundtrack.File)
	}
	var out []float32
	for at := time.Duration(0); timebase.FrameAt(at, m.Rate) < m.Length; at += time.Second / review.WaveHz {
		peak, _, _ := o.Column(timebase.FrameAt(at, m.Rate), timebase.FrameAt(at+time.Second/review.WaveHz, m.Rate))
		out = append(out, max(peak[0], peak[1]))
	}
	return out, nil
}
