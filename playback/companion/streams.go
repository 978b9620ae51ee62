package companion

import (
	"context"
	"fmt"
	"path"
	"strings"
	"sync"

	"drylane/playback"
	"drylane/playback/deck"
	"drylane/playback/folder"
	"drylane/playback/tracks"
	"drylane/show"

	"github.com/faiface/beep"
)

// TheMusic is the name of the soundtrack among the tracks to be listened to.
const TheMusic = "music"

// Streams are the companion tracks of a show as streams beside its music: made as they
// are read, or read from the show folder where they were made elsewhere.
type Streams struct {
	l      *folder.Folder
	ctx    context.Context // of the voice
	cancel func()

	mu      sync.Mutex // of what follows
	speaker speakers
	files   []interface{ Close() error }
	closed  bool
}

// NewStreams returns the tracks of a show that is open. Close them.
func NewStreams(l *folder.Folder) *Streams {
	c := &Streams{l: l}
	c.ctx, c.cancel = context.WithCancel(context.Background())
	c.speaker = speakers{ctx: c.ctx, words: l.Show.Calls.Words, files: l.Files, note: func(string) {}}
	return c
}

// List is every track that can be listened to in place of the music.
func (c *Streams) List() []deck.Companion {
	var list []deck.Companion
	for _, t := range c.l.Show.Tracks {
		list = append(list, deck.Companion{Name: show.Clean(t.File), Calls: t.CallsOf(), Open: func() (beep.StreamSeeker, error) { return c.open(t) }})
	}
	return list
}

// Find returns the index of a track by its file name, with or without folder
// and ending, and -1 for the music.
func (c *Streams) Find(name string) (int, error) {
	if name == TheMusic {
		return -1, nil
	}
	found, names := -1, []string{TheMusic}
	for i, t := range c.l.Show.Tracks {
		base := path.Base(t.File)
		switch name {
		case t.File:
			return i, nil
		case base, strings.TrimSuffix(base, path.Ext(base)), strings.TrimSuffix(t.File, path.Ext(t.File)):
			if found >= 0 {
				return 0, fmt.Errorf("found %q, which is more than one track; wanted its whole name: %s or %s", show.Clean(name), c.l.Show.Tracks[found].File, t.File)
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
func (c *Streams) open(t show.Track) (beep.StreamSeeker, error) {
	c.mu.Lock()
	defer c.mu.Unlock()
	if c.closed {
		return nil, context.Canceled
	}
	if t.Left == "" && t.Right == "" {
		return c.openFile(t.File)
	}
	master := tracks.NewMaster(c.l.OpenMusic)
	c.files = append(c.files, master)
	p := &plan{show: c.l.Show, music: c.l.Music, master: master, speaker: &c.speaker}
	f, err := p.file(t)
	if err != nil {
		return nil, err
	}
	return tracks.NewStream(f), nil
}

// openFile opens a track that was made elsewhere.
func (c *Streams) openFile(name string) (beep.StreamSeeker, error) {
	open := func() (*playback.Soundtrack, error) { return folder.Sound(c.l.Files, name) }
	if name == c.l.Show.Soundtrack.File {
		open = c.l.OpenMusic
	}
	s, err := open()
	if err != nil {
		return nil, err
	}
	c.files = append(c.files, s)
	if rate := c.l.Music.Rate(); s.Rate() != rate {
		return nil, fmt.Errorf("%s: found %d Hz; wanted the %d Hz of the soundtrack, to be heard beside it", show.Clean(name), s.Rate(), rate)
	}
	return s, nil
}

// OpenAt opens the track of an index, or the music for -1.
func (c *Streams) OpenAt(i int) (beep.StreamSeeker, error) {
	if i < 0 {
		c.mu.Lock()
		defer c.mu.Unlock()
		return c.openFile(c.l.Show.Soundtrack.File)
	}
	return c.open(c.l.Show.Tracks[i])
}

// Close ends what is being opened and closes what was. The streams may not be
// read any more.
func (c *Streams) Close() {
	c.cancel()
	c.mu.Lock()
	defer c.mu.Unlock()
	c.closed = true
	for _, f := range c.files {
		f.Close()
	}
	c.files = nil
}
