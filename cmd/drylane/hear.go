package main

import (
	"fmt"
	"io"
	"math"
	"strings"
	"time"

	"drylane/playback/folder"
	"drylane/playback/listen"
	"drylane/playback/recording"
	"drylane/show"
	"drylane/show/field"
	"drylane/show/hear"
	"drylane/show/timebase"
	"drylane/show/words"
)

type hearCmd struct {
	Dir       string   `arg:"" help:"The show folder." placeholder:"DIR"`
	Recording []string `arg:"" help:"Recordings of the fire with its music: WAV, MP3, FLAC, Ogg Vorbis, or M4A and AAC where ffmpeg is installed. What the first one has of the show is taken from it." placeholder:"FILE"`
	At        string   `placeholder:"NAME" help:"The [[audience]] of show.toml at which they were taken; default: the main audience."`
	Cues      bool     `help:"List every cue with what was heard of it."`
	JSON      bool     `name:"json" help:"Print the figures as JSON; \"drylane retime --heard\" takes them."`
	HTML      string   `name:"html" placeholder:"OUT" help:"Write it as one page of HTML, too."`
	replaceFlag
	cacheFlag
}

func (hearCmd) Help() string {
	return "Tells from recordings of a fire how late or early it was: the whole list, each position, each size of shell, each stretch. The music in a recording says where it lies and when the show was held; the bangs in it are matched with the cues, each as long on its way as the distances of show.toml say. " +
		"A cue that was not heard may have fired all the same, and no search of the field is spared by it.\n\nA recording at 8 or 16 kHz is converted first: ffmpeg -i OLD -ar 44100 NEW.wav\n\nExamples:\n\n  drylane hear shows/harbour phone.m4a --html heard.html\n  drylane hear shows/harbour left.wav right.flac --at terrace --json > heard.json"
}

func (c hearCmd) Run(e *env) error {
	l, err := folder.Open(c.Dir)
	if err != nil {
		return err
	}
	defer l.Close()
	audience, err := audienceOf(l.Show, c.At)
	if err != nil {
		return err
	}
	w := c.writer(e)
	folder.Keep(w, l.Path, l.Show)
	var files []listen.File
	for _, name := range c.Recording {
		w.Keep("a recording", name)
		files = append(files, listened(name))
	}
	html, err := w.Take("--html", c.HTML)
	if err != nil {
		return err
	}
	p := e.progress("")
	taken, rep, err := recording.Hear(e.ctx, l.Show, l.Listened(), files, audience, p.tell)
	p.end()
	if err != nil {
		return err
	}
	if html != nil {
		if err := html.Write(heardPage(l.Show, taken, rep).WriteHTML); err != nil {
			return err
		}
	}
	if c.JSON {
		return printJSON(e.out, heardFigures(l.Show, taken, rep))
	}
	if err := writeTaken(e.out, l.Show, taken); err != nil {
		return err
	}
	return rep.WriteText(e.out, c.Cues)
}

// audienceOf is the number of an audience in the field's order: 0 is the main one.
func audienceOf(s *show.Show, name string) (int, error) {
	if name == "" {
		return 0, nil
	}
	known := []string{field.MainAudience}
	for i, a := range s.Audiences {
		if a.Name == name {
			return i + 1, nil
		}
		known = append(known, show.Clean(a.Name))
	}
	if name == field.MainAudience {
		return 0, nil
	}
	return 0, fmt.Errorf("--at: found %s; wanted an audience of show.toml: %s", show.Quote(name), words.Or(known))
}

func heardPage(s *show.Show, taken []recording.Taken, rep hear.Report) hear.Page {
	page := hear.Page{Title: s.Title, Made: time.Now(), Report: rep}
	for _, t := range taken {
		page.Recordings, page.Waves = append(page.Recordings, t.Recording), append(page.Waves, t.Wave)
	}
	return page
}

// writeTaken says where each recording lies, and its holds.
func writeTaken(w io.Writer, s *show.Show, taken []recording.Taken) error {
	fmt.Fprintf(w, "%s, %s\n", show.Clean(s.Title), words.Count(len(s.Cues), "cue"))
	for _, t := range taken {
		fmt.Fprintf(w, "%s: %s, %+.0f ppm, %s\n", show.Clean(t.Name), beginsWords(t.Lie.Offset), math.Round(t.Lie.PPM)+0, words.Count(len(t.Bangs), "bang"))
		for _, h := range t.Holds() {
			fmt.Fprintf(w, "  held at about %s for %.2f s\n", timebase.Clock(h.At.Round(time.Second)), h.Length.Seconds())
		}
	}
	_, err := fmt.Fprintln(w)
	return err
}

// beginsWords say where the music begins in a recording, in seconds of it.
func beginsWords(offset float64) string {
	if offset = thousandths(offset); offset < 0 {
		return fmt.Sprintf("begins %.3f s into the music", -offset)
	}
	return fmt.Sprintf("the music begins at %.3f s", offset)
}

// thousandths rounds v, so that what is no offset has no sign.
func thousandths(v float64) float64 { return math.Round(v*1000)/1000 + 0 }

// Figures of what was heard, for programs: times in seconds.
type (
	// A heardHold has the moment of the music only as well as it is known, to half a second
	// or so; its length is exact.
	heardHold struct {
		At     float64 `json:"at_s"`
		Length float64 `json:"length_s"`
	}
	heardTaken struct {
		Name       string      `json:"name"`
		Length     float64     `json:"length_s"`
		Offset     float64     `json:"offset_s"`
		PPM        float64     `json:"rate_ppm"`
		Confidence float64     `json:"confidence"`
		Bangs      int         `json:"bangs"`
		Holds      []heardHold `json:"holds"`
	}
	heard struct {
		Title      string `json:"title"`
		CuesSHA256 string `json:"cues_sha256"`
		// Offset, PPM and Holds are those of the first recording.
		Offset     float64      `json:"offset_s"`
		PPM        float64      `json:"rate_ppm"`
		Holds      []heardHold  `json:"holds"`
		Recordings []heardTaken `json:"recordings"`
		hear.Figures
	}
)

// heldGrain is what the moment of a hold is rounded to.
const heldGrain = 100 * time.Millisecond

func heardFigures(s *show.Show, taken []recording.Taken, rep hear.Report) heard {
	out := heard{Title: s.Title, CuesSHA256: strings.ToLower(s.CuesSHA256), Figures: rep.Figures()}
	for _, t := range taken {
		f := heardTaken{Name: t.Name, Length: t.Length.Seconds(), Offset: t.Lie.Offset, PPM: t.Lie.PPM, Confidence: t.Lie.Confidence, Bangs: len(t.Bangs), Holds: []heardHold{}}
		for _, h := range t.Holds() {
			f.Holds = append(f.Holds, heardHold{h.At.Round(heldGrain).Seconds(), h.Length.Round(time.Millisecond).Seconds()})
		}
		out.Recordings = append(out.Recordings, f)
	}
	first := out.Recordings[0]
	out.Offset, out.PPM, out.Holds = first.Offset, first.PPM, first.Holds
	return out
}
