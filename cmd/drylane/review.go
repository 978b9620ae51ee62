package main

import (
	"fmt"
	"io"
	"time"

	"drylane/playback"
	"drylane/playback/onset"
	"drylane/show/review"
)

type reviewCmd struct {
	Dir  string `arg:"" help:"The show folder." placeholder:"DIR"`
	Cues bool   `help:"List every cue with its accent."`
	JSON bool   `name:"json" help:"Print the figures as JSON."`
	HTML string `name:"html" placeholder:"OUT" help:"Write the review as one page of HTML, too."`
	Fix  string `placeholder:"NEWDIR" help:"Ask of each shift that was found whether to take it out, and write the show with those confirmed into NEWDIR."`
}

func (reviewCmd) Help() string {
	return "Listens to the soundtrack and tells whether the cues land on its accents: the whole list, each position, each stretch of the show. What the music cannot tell is said to be so.\n\nExample:\n\n  drylane review shows/harbour --html review.html\n  drylane review shows/harbour --fix shows/harbour-2"
}

func (r reviewCmd) Run(e *env) error {
	l, err := openFolder(r.Dir)
	if err != nil {
		return err
	}
	defer l.music.Close()
	m, err := e.onsets(l.show.Soundtrack.File, l.openFile)
	if err != nil {
		return err
	}
	music := reviewMusic(m)
	rep := review.Check(l.show.Cues, music)
	if r.HTML != "" {
		wave, err := e.wave(l, m)
		if err != nil {
			return err
		}
		page := review.Page{Title: l.show.Title, Made: time.Now(), Report: rep, Music: music, Wave: wave}
		if err := writeWhole(r.HTML, page.WriteHTML); err != nil {
			return err
		}
	}
	if r.JSON {
		return printJSON(e.out, rep)
	}
	if _, err := fmt.Fprintf(e.out, "%s, %d cues, %d accents\n\n", l.show.Title, len(l.show.Cues), len(m.Accents)); err != nil {
		return err
	}
	if err := rep.WriteText(e.out, r.Cues); err != nil || r.Fix == "" {
		return err
	}
	return r.fix(e, l, rep)
}

// reviewMusic hands the onsets over to the review, as times.
func reviewMusic(m *onset.Music) review.Music {
	out := review.Music{Length: m.Length.At(m.Rate)}
	for _, a := range m.Accents {
		out.Accents = append(out.Accents, review.Accent{At: a.At.At(m.Rate), Strength: a.Strength, Rise: a.Rise, Loud: a.Loud, Gain: a.Gain})
	}
	for _, b := range m.Beats {
		out.Beats = append(out.Beats, b.At(m.Rate))
	}
	return out
}

// wave returns the soundtrack's peaks, review.WaveHz a second.
func (e *env) wave(l *loaded, m *onset.Music) ([]float32, error) {
	o := playback.NewOverview(m.Rate, m.Length)
	p := e.progress("drawing")
	defer p.end()
	err := playback.Pass(e.ctx, l.show.Soundtrack.File, func() (io.ReadSeekCloser, error) { return l.openFile() },
		func(start playback.Frame, frames [][2]float64) error {
			o.Add(frames)
			p.done(float64(start) / float64(max(1, m.Length)))
			return nil
		})
	if err != nil {
		return nil, stopped(err, l.show.Soundtrack.File)
	}
	var out []float32
	for at := time.Duration(0); playback.FrameAt(at, m.Rate) < m.Length; at += time.Second / review.WaveHz {
		peak, _, _ := o.Column(playback.FrameAt(at, m.Rate), playback.FrameAt(at+time.Second/review.WaveHz, m.Rate))
		out = append(out, max(peak[0], peak[1]))
	}
	return out, nil
}
