package main

import (
	"context"
	"fmt"
	"path"
	"strings"
	"sync"

	"drylane/playback"
	"drylane/playback/deck"
	"drylane/playback/tracks"
	"drylane/show"

	"github.com/faiface/beep"
)

// theMusic is the name of the soundtrack among the tracks to be listened to.
const theMusic = "music"

// trackStreams are the tracks of a show as streams beside its music: made as they
// are read, or read from the show folder where they were made elsewhere.
type trackStreams struct {
	l      *loaded
	ctx    context.Context // of the voice
	cancel func()

	mu      sync.Mutex // of what follows
	speaker speakers
	files   []interface{ Close() error }
	closed  bool
}

func newTrackStreams(l *loaded) *trackStreams {
	c := &trackStreams{l: l}
	c.ctx, c.cancel = context.WithCancel(context.Background())
	c.speaker = speakers{ctx: c.ctx, note: func(string) {}}
	return c
}

// list is every track that can be listened to in place of the music.
func (c *trackStreams) list() []deck.Companion {
	var list []deck.Companion
	for _, t := range c.l.show.Tracks {
		list = append(list, deck.Companion{Name: show.Clean(t.File), Calls: t.CallsOf(), Open: func() (beep.StreamSeeker, error) { return c.open(t) }})
	}
	return list
}

// find returns the index of a track by its file name, with or without folder
// and ending, and -1 for the music.
func (c *trackStreams) find(name string) (int, error) {
	if name == theMusic {
		return -1, nil
	}
	found, names := -1, []string{theMusic}
	for i, t := range c.l.show.Tracks {
		base := path.Base(t.File)
		switch name {
		case t.File:
			return i, nil
		case base, strings.TrimSuffix(base, path.Ext(base)), strings.TrimSuffix(t.File, path.Ext(t.File)):
			if found >= 0 {
				return 0, fmt.Errorf("found %q, which is more than one track; wanted its whole name: %s or %s", show.Clean(name), c.l.show.Tracks[found].File, t.File)
			}
			found = i
		}
		names = append(names, show.Clean(t.File))
	}
	if found >= 0 {
		return found, nil
	}
	if len(names) == 1 {
		return 0, fmt.Errorf("found the track %q for a show that has none; wanted a [[track]] in show.toml", show.Clean(name))
	}
	return 0, fmt.Errorf("found the track %q; wanted one of %s", show.Clean(name), strings.Join(names, ", "))
}

// open returns a track as a stream of its own. Safe to call from any goroutine.
func (c *trackStreams) open(t show.Track) (beep.StreamSeeker, error) {
	c.mu.Lock()
	defer c.mu.Unlock()
	if c.closed {
		return nil, context.Canceled
	}
	if t.Left == "" && t.Right == "" {
		return c.openFile(t.File)
	}
	master := tracks.NewMaster(c.l.openMusic)
	c.files = append(c.files, master)
	plan := &trackPlan{l: c.l, master: master, speaker: &c.speaker}
	f, err := plan.file(t)
	if err != nil {
		return nil, err
	}
	return tracks.NewStream(f), nil
}

// openFile opens a track that was made elsewhere.
func (c *trackStreams) openFile(name string) (beep.StreamSeeker, error) {
	f, err := c.l.openNamed(name)
	if err != nil {
		return nil, err
	}
	s, err := playback.Open(name, f)
	if err != nil {
		return nil, err
	}
	c.files = append(c.files, s)
	if rate := c.l.music.Rate(); s.Rate() != rate {
		return nil, fmt.Errorf("%s: found %d Hz; wanted the %d Hz of the soundtrack, to be heard beside it", show.Clean(name), s.Rate(), rate)
	}
	return s, nil
}

// openAt opens the track of an index, or the music for -1.
func (c *trackStreams) openAt(i int) (beep.StreamSeeker, error) {
	if i < 0 {
		c.mu.Lock()
		defer c.mu.Unlock()
		return c.openFile(c.l.show.Soundtrack.File)
	}
	return c.open(c.l.show.Tracks[i])
}

// close ends what is being opened and closes what was. The streams may not be
// read any more.
func (c *trackStreams) close() {
	c.cancel()
	c.mu.Lock()
	defer c.mu.Unlock()
	c.closed = true
	for _, f := range c.files {
		f.Close()
	}
	c.files = nil
}
