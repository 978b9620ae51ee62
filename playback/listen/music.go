package listen

import (
	"bytes"
	"encoding/json"
	"errors"

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
	var b bytes.Buffer
	err := o.Music.Write(&b)
	return b.Bytes(), err
}

func (o *Onsets) Drop() {
	if o.d != nil {
		o.d.Close()
	}
}

// Changes is the wish for the moments at which the music changes. The onsets come
// before it.
type Changes struct {
	Onsets *Onsets
	List   []phrase.Change
	l      *phrase.Listener
}

func (c *Changes) Key() (string, int) { return "changes", 100*onset.Version + phrase.Version }

func (c *Changes) Restore(b []byte) error {
	if c.Onsets.Music == nil {
		return errors.New("the beats are not there, and will be others")
	}
	var list []phrase.Change
	if err := json.Unmarshal(b, &list); err != nil {
		return err
	}
	last := timebase.Frame(0)
	for _, x := range list {
		if x.At < last || !(x.New >= 0) || x.At >= c.Onsets.Music.Length {
			return errors.New("found stored changes out of order or past the end")
		}
		last = x.At
	}
	c.List = list
	return nil
}

func (c *Changes) Begin(i playback.Info) error {
	c.l = phrase.NewListener(i.Rate)
	return nil
}

func (c *Changes) Take(_ timebase.Frame, frames [][2]float64) error {
	c.l.Add(frames)
	return nil
}

func (c *Changes) Done(playback.Info) ([]byte, error) {
	c.List = c.l.Changes(c.Onsets.Music.Beats)
	return json.Marshal(c.List)
}

func (c *Changes) Drop() {}
