package main

import (
	"errors"
	"fmt"
	"time"

	"drylane/playback"
	"drylane/playback/accents"
	"drylane/playback/folder"
	"drylane/playback/listen"
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
	cacheFlag
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
	m, wave, err := r.listen(e, l, p.tell)
	p.end()
	if err != nil {
		return err
	}
	music := accents.ForReview(m)
	rep := review.Check(l.Show.Cues, music)
	if html != nil {
		page := review.Page{Title: l.Show.Title, Made: time.Now(), Report: rep, Music: music, Wave: peaksOf(wave)}
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

// listen finds the accents of the soundtrack, and its waveform: the console will want
// that as well.
func (reviewCmd) listen(e *env, l *folder.Folder, tell listen.Tell) (*onset.Music, *playback.Overview, error) {
	var o listen.Onsets
	w := listen.Wave{Overview: playback.NewOverview(l.Music.Rate(), l.Music.Info().Frames)}
	err := listen.To(e.ctx, l.Listened(), tell, &o, w)
	return o.Music, w.Overview, err
}

// peaksOf returns the peaks of the music, review.WaveHz a second.
func peaksOf(o *playback.Overview) []float32 {
	var out []float32
	for at := time.Duration(0); timebase.FrameAt(at, o.Rate()) < o.Len(); at += time.Second / review.WaveHz {
		peak, _, _ := o.Column(timebase.FrameAt(at, o.Rate()), timebase.FrameAt(at+time.Second/review.WaveHz, o.Rate()))
		out = append(out, max(peak[0], peak[1]))
	}
	return out
}
