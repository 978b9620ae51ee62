package main

import (
	"context"
	"errors"
	"fmt"
	"strings"

	"drylane/playback/cuemarkers"
	"drylane/playback/disk"
	"drylane/playback/folder"
	"drylane/show"
	"drylane/show/exchange"
	"drylane/show/words"
)

type exportCmd struct {
	Dir     string `arg:"" placeholder:"DIR" help:"The show folder; it is never changed."`
	CSV     string `name:"csv" placeholder:"OUT" help:"Write the cue list as CSV."`
	Markers string `placeholder:"OUT.wav" help:"Write the soundtrack as a WAV file with a marker at the effect of each cue, for any audio editor."`
	replaceFlag
}

func (exportCmd) Help() string {
	return "drylane import reads both back: import OUT, or import --from-markers OUT.wav.\n\nExamples:\n\n  drylane export shows/harbour --csv harbour.csv\n  drylane export shows/harbour --markers harbour-cues.wav"
}

func (c *exportCmd) Run(e *env) error {
	if c.CSV == "" && c.Markers == "" {
		return errors.New("found nothing to write; wanted --csv OUT or --markers OUT.wav")
	}
	w := c.quietWriter(e)
	folder.KeepIn(w, c.Dir)
	csv, errCSV := w.Take("--csv", c.CSV)
	markers, errMarkers := w.Take("--markers", c.Markers)
	if err := errors.Join(errCSV, errMarkers); err != nil {
		return err
	}
	if markers != nil {
		l, err := folder.Open(c.Dir)
		if err != nil {
			return err
		}
		defer l.Close()
		if err := c.writeMarkers(e, l, markers); err != nil {
			return err
		}
	}
	s, err := folder.Read(c.Dir)
	if err != nil {
		return err
	}
	if csv != nil {
		if err := csv.Write(s.WriteCues); err != nil {
			return err
		}
		fmt.Fprintf(e.out, "%s: %s\n", show.Clean(c.CSV), words.Count(len(s.Cues), "cue"))
	}
	fmt.Fprintf(e.errOut, "note: not in it: %s\n", strings.Join(exchange.Uncarried(s), ", "))
	return nil
}

// writeMarkers writes the music with the cues in it and tells of it.
func (c *exportCmd) writeMarkers(e *env, l *folder.Folder, to *disk.Target) error {
	p := e.progress("decoding the music")
	done, err := cuemarkers.Export(e.ctx, l, to, p.done)
	p.end()
	if errors.Is(err, context.Canceled) {
		return fmt.Errorf("stopped: %s was not written", show.Clean(c.Markers))
	} else if err != nil {
		return err
	}
	fmt.Fprintf(e.out, "%s: the music with %s\n", show.Clean(c.Markers), words.Count(len(l.Show.Cues), "marker"))
	if n := done.Clipped; n > 0 {
		fmt.Fprintf(e.errOut, "note: %d samples of the music went past full scale when decoded and are clipped in %s\n", n, show.Clean(c.Markers))
	}
	if n := done.Replaced; n > 0 {
		fmt.Fprintf(e.errOut, "note: %d cue points that %s has itself were left out\n", n, l.Show.Soundtrack.File)
	}
	if n := done.Late; n > 0 {
		fmt.Fprintf(e.errOut, "note: %d markers lie after the end of the music; some programs do not show those\n", n)
	}
	return nil
}
