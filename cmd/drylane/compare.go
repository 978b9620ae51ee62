package main

import (
	"fmt"
	"math"
	"path/filepath"
	"strings"

	"drylane/playback/align"
	"drylane/playback/recording"
	"drylane/show"
)

type compareCmd struct {
	A string `arg:"" help:"The file to compare with, such as the master." placeholder:"A"`
	B string `arg:"" help:"The file in question, such as the one on the stick." placeholder:"B"`
	cacheFlag
	JSON bool `help:"Print JSON."`
}

func (compareCmd) Help() string {
	return "Are two files the same music, and where does B lie against A? Survives re-encoding, level, equalising, noise, trimmed ends and other sample rates. Says too what B lacks: its start or end, a side, or a side's polarity. A recording of the music through a room is told as one, with its place and its holds. Exit code 1 when they are not the same music, B lacks some of it, or one of them is such a recording.\n\nExample:\n\n  drylane compare master.wav stick/soundtrack.mp3"
}

func (c compareCmd) Run(e *env) error {
	p := e.progress("")
	r, err := recording.Compare(e.ctx, listened(c.A), listened(c.B), p.tell)
	p.end()
	if err != nil {
		return err
	}
	if c.JSON {
		err = printJSON(e.out, r)
	} else {
		nameA, nameB := filepath.Base(c.A), filepath.Base(c.B)
		if nameA == nameB {
			nameA, nameB = c.A, c.B
		}
		err = printComparison(e, r, show.Clean(nameA), show.Clean(nameB))
	}
	if err == nil && !r.Whole() {
		return errSilent
	}
	return err
}

func printComparison(e *env, r align.Result, a, b string) error {
	_, err := fmt.Fprintln(e.out, r.Sentence(a, b))
	if err == nil && r.Verdict == align.Recorded {
		_, err = fmt.Fprintf(e.out, "offset %+.1f ms, rate %+.1f ppm, confidence %.2f (%d of %d blocks)\n", r.OffsetMs, r.RatePPM, r.Confidence, r.WindowsUsed, r.WindowsTotal)
		return err
	}
	if err != nil || r.Verdict != align.Same && r.Verdict != align.Partly {
		return err
	}
	polarity := "same polarity"
	switch {
	case r.Reversed != "":
		polarity = strings.ToUpper(r.Reversed) + " SIDE OUT OF POLARITY"
	case r.Polarity < 0:
		polarity = "OUT OF POLARITY"
	}
	_, err = fmt.Fprintf(e.out, "offset %+.2f ms, rate %+.2f ppm, level %+.1f dB, %s, confidence %.2f (%d of %d windows)\n",
		hundredths(r.OffsetMs), hundredths(r.RatePPM), r.GainDB, polarity, r.Confidence, r.WindowsUsed, r.WindowsTotal)
	return err
}

// hundredths rounds v, so that what is no offset has no sign.
func hundredths(v float64) float64 { return math.Round(v*100)/100 + 0 }
