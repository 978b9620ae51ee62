package main

import (
	"fmt"
	"text/tabwriter"
	"time"

	"drylane/playback/listen"
	"drylane/playback/loudness"
	"drylane/show/timebase"
)

type loudnessCmd struct {
	File     string `arg:"" help:"The sound file." placeholder:"FILE"`
	DualMono bool   `help:"Count a mono file as if both speakers played it."`
	cacheFlag
	JSON bool `help:"Print JSON."`
}

func (loudnessCmd) Help() string {
	return "Loudness by ITU-R BS.1770 and EBU R 128, peaks, clipping, and what is wrong with the channels.\n\nExample:\n\n  drylane loudness soundtrack.mp3"
}

func (c loudnessCmd) Run(e *env) error {
	p := e.progress("")
	l := &listen.Loudness{DualMono: c.DualMono}
	err := listen.To(e.ctx, listened(c.File), p.tell, l)
	p.end()
	if err != nil {
		return err
	}
	r := l.Result
	if c.JSON {
		return printJSON(e.out, r)
	}
	return printLoudness(e, r)
}

func printLoudness(e *env, r loudness.Result) error {
	w := tabwriter.NewWriter(e.out, 0, 0, 2, ' ', 0)
	row := func(label, format string, a ...any) { fmt.Fprintf(w, "%s\t%s\n", label, fmt.Sprintf(format, a...)) }
	least, about := "", ""
	if r.AtLeast {
		least, about = "at least ", "about "
	}
	row("integrated", "%s%.1f LUFS", least, float64(r.Integrated))
	row("short-term max", "%s%.1f LUFS", least, float64(r.ShortTermMax))
	row("momentary max", "%s%.1f LUFS", least, float64(r.MomentaryMax))
	row("loudness range", "%s%.1f LU", about, r.Range)
	row("true peak", "%s%.1f dBTP", least, float64(r.TruePeak))
	row("sample peak", "%s%s dBFS", least, r.SamplePeak)
	for i, ch := range r.Channel {
		name := []string{"left", "right"}[i]
		if len(r.Channel) == 1 {
			name = "mono"
		}
		state := ""
		if ch.Silent {
			state = ", SILENT"
		}
		row(name, "RMS %s%.1f dBFS, DC %+.5f, %d clipped runs%s", least, float64(ch.RMS), ch.DC, ch.ClippedRuns, state)
	}
	if len(r.Channel) == 2 {
		row("balance", "%+.1f dB (left above right)", float64(r.Balance))
		row("correlation", "%+.2f%s", r.Correlation, correlationWords(r.Correlation))
	}
	if r.AtLeast {
		row("note", "the music reaches full scale: what the file has above it is cut off in decoding to 16 bits, so the levels are at least those given")
	}
	for _, clip := range r.FirstClips {
		at := timebase.Frame(clip.Frame).At(r.Rate).Round(time.Millisecond)
		row("clip", "%s, %s, %d samples", timebase.ClockMillis(at), []string{"left", "right"}[clip.Channel], clip.Length)
	}
	return w.Flush()
}

// correlationWords says what a correlation of left and right means.
func correlationWords(c float64) string {
	switch {
	case c < -0.5:
		return " (OUT OF POLARITY: one channel is upside down)"
	case c > 0.999:
		return " (both channels carry the same)"
	}
	return ""
}
