package main

import (
	"fmt"
	"strings"
	"text/tabwriter"

	"drylane/playback"
	"drylane/show"
	"drylane/show/timebase"
)

type infoCmd struct {
	File string `arg:"" help:"The sound file." placeholder:"FILE"`
	cacheFlag
	JSON bool `help:"Print JSON."`
}

func (infoCmd) Help() string {
	return "Format, length, tags, gapless figures, and two hashes: of the file, and of the sound in it, which stays the same when only tags change.\n\nExample:\n\n  drylane info soundtrack.mp3"
}

// fileInfo is what is known of a sound file.
type fileInfo struct {
	File        string        `json:"file"`
	Info        playback.Info `json:"info"`
	Seconds     float64       `json:"seconds"`
	FileSHA256  string        `json:"file_sha256"`
	AudioSHA256 string        `json:"audio_sha256"`
}

func (c infoCmd) Run(e *env) error {
	f := fileInfo{File: c.File}
	var err error
	if f.FileSHA256, f.AudioSHA256, f.Info, err = e.hashes(c.File); err != nil {
		return err
	}
	f.Seconds = f.Info.Duration().Seconds()
	if c.JSON {
		return printJSON(e.out, f)
	}
	w := tabwriter.NewWriter(e.out, 0, 0, 2, ' ', 0)
	for _, l := range f.lines() {
		fmt.Fprintf(w, "%s\t%s\n", l[0], show.Clean(l[1]))
	}
	return w.Flush()
}

// lines lists what is known, a label and a value each.
func (f fileInfo) lines() [][2]string {
	i := f.Info
	format := i.Format
	switch {
	case i.Float:
		format += fmt.Sprintf(", %d-bit float", i.Bits)
	case i.Bits > 0:
		format += fmt.Sprintf(", %d-bit", i.Bits)
	}
	if i.Through != "" {
		format += ", decoded by " + i.Through
	}
	channels := "stereo"
	if i.Channels == 1 {
		channels = "mono"
	}
	out := [][2]string{
		{"file", f.File},
		{"format", format},
		{"rate", fmt.Sprintf("%d Hz, %s", i.Rate, channels)},
		{"length", fmt.Sprintf("%s (%d frames)", timebase.ClockMillis(i.Duration()), i.Frames)},
	}
	add := func(label, text string) {
		if text != "" {
			out = append(out, [2]string{label, text})
		}
	}
	add("title", i.Title)
	add("artist", i.Artist)
	if g := i.MP3; g != nil {
		add("mp3", fmt.Sprintf("%s layer III, %s, %d kbit/s", g.Version, g.BitrateKind, (g.Bitrate+500)/1000))
		add("encoder", g.Encoder)
		add("tag frame", g.TagKind)
		if g.HasDelay {
			add("gapless", fmt.Sprintf("encoder delay %d frames, padding %d frames: the music starts exactly", g.Delay, g.Padding))
		}
		if g.Intensity {
			add("note", "intensity stereo: the highest frequencies are not decoded to their right place between the speakers")
		}
	}
	if i.StartUncertain > 0 {
		add("start", fmt.Sprintf("uncertain by up to %.1f ms: the encoder did not write down its delay", 1000*float64(i.StartUncertain)/float64(i.Rate)))
	}
	add("cut short", i.Truncated)
	add("altered", i.Altered)
	add("note", i.Unstated)
	add("odd", i.Odd)
	for _, d := range i.Damage {
		add("damage", fmt.Sprintf("%s, %d frames: %s", timebase.ClockMillis(d.At.At(i.Rate)), d.Frames, d.Reason))
	}
	add("sha-256 of the file", f.FileSHA256)
	add("sha-256 of the sound", f.AudioSHA256)
	for k := range out {
		out[k][1] = strings.TrimSpace(out[k][1])
	}
	return out
}
