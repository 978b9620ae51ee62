package listen

import (
	"bytes"
	"io"

	"drylane/playback"
	"drylane/playback/onset"
	"drylane/playback/phrase"
	"drylane/show/timebase"
)

// Onsets is the wish for accents and beats.
type Onsets struct {
	Music *onset.Music
	d     *onset.Detector
}

func (o *Onsets) Key() (string, int) { return "onsets", onset.Version }

func (o *Onsets) Restore(b []byte) (err error) {
	o.Music, err = onset.Read(bytes.NewReader(b))
	return err
}

func (o *Onsets) Begin(i playback.Info) error {
	o.d = onset.NewDetector(i.Rate)
	return nil
}

func (o *Onsets) Take(_ timebase.Frame, frames [][2]float64) error {
	o.d.Add(frames)
	return nil
}

func (o *Onsets) Done(playback.Info) ([]byte, error) {
	o.Music = o.d.Music()
	return stored(o.Music.Write)
}

func (o *Onsets) Drop() {
	if o.d != nil {
		o.d.Close()
	}
}

// Changes is the wish for the moments at which the music changes.
type Changes struct {
	Onsets *Onsets // comes before it, as it is made by the beats
	Score  *phrase.Score
	l      *phrase.Listener
	rate   int
}

func (c *Changes) Key() (string, int) { return "changes", 100*onset.Version + phrase.Version }
func (c *Changes) Drop()              {}

func (c *Changes) Restore(b []byte) (err error) {
	c.Score, err = phrase.Read(bytes.NewReader(b))
	return err
}

func (c *Changes) Begin(i playback.Info) error {
	c.l, c.rate = phrase.NewListener(i.Rate), i.Rate
	return nil
}

func (c *Changes) Take(_ timebase.Frame, frames [][2]float64) error {
	c.l.Add(frames)
	return nil
}

func (c *Changes) Done(playback.Info) ([]byte, error) {
	m := c.Onsets.Music
	c.Score = &phrase.Score{Rate: c.rate, Length: m.Length, Changes: c.l.Changes(m.Beats)}
	return stored(c.Score.Write)
}

// stored is what write writes.
func stored(write func(io.Writer) error) ([]byte, error) {
	var b bytes.Buffer
	err := write(&b)
	return b.Bytes(), err
}
