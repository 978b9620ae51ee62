package earpiece

import (
	"context"
	"errors"
	"fmt"
	"slices"

	"drylane/playback/companion"
	"drylane/playback/crew"
	"drylane/playback/folder"
	"drylane/playback/inspect"
	"drylane/playback/listen"
	"drylane/show"
	roles "drylane/show/crew"

	"github.com/faiface/beep"
)

// A Hear is what somebody wants to hear at a joined machine. Its text is the word for
// it on the command line.
type Hear string

// What there is to hear.
const (
	Nothing Hear = "nothing"
	Music   Hear = "music"
	Calls   Hear = "calls" // of one's own position
)

// ForRole is what somebody of a role hears who does not say: a position its calls, a
// listener the music, anybody else nothing.
func ForRole(r roles.Role) Hear {
	switch r.Kind {
	case roles.Position:
		return Calls
	case roles.Listener:
		return Music
	}
	return Nothing
}

// Check refuses what a role has not to hear.
func (h Hear) Check(r roles.Role) error {
	if h == Calls && r.Kind != roles.Position {
		return fmt.Errorf("found calls for %s; wanted music or nothing: calls are for a position", r.Words())
	}
	return nil
}

// A Source is a copy of what is heard, open. Close it.
type Source struct {
	Name   string // for people
	Stream beep.StreamSeeker
	Rate   int
	Calls  [2]string // the positions whose calls are on either side

	folder *folder.Folder
	tracks *companion.Streams
}

// Close closes the copy. Nobody may read it any more. That of nil does nothing.
func (s *Source) Close() {
	if s == nil {
		return
	}
	s.tracks.Close()
	s.folder.Close()
}

// Copied describes the lead's show for those who have a copy. The sum of the sound
// alone is told where the show is locked: it takes time to make.
func Copied(ctx context.Context, f *folder.Folder) crew.Copy {
	c := crew.Copy{Music: f.SHA256}
	c.Calls, _ = f.CallsSum(ctx) // where a file is missing nobody plays its calls along
	if pinned := inspect.Lock(f).Lock; pinned != nil {
		if e := pinned.Entry(f.Show.Soundtrack.File); e.SHA256 == f.SHA256 {
			c.Audio = e.Audio
		}
	}
	return c
}

// Open opens what somebody hears from the copy of the show in the folder dir. A copy
// that is not the lead's show is refused: what is heard would not be what is played.
func Open(ctx context.Context, dir string, h Hear, r roles.Role, lead crew.Copy) (*Source, error) {
	f, err := folder.Open(dir)
	if err != nil {
		return nil, err
	}
	s := &Source{Rate: f.Music.Rate(), folder: f, tracks: companion.NewStreams(f)}
	if err := s.open(ctx, h, r, lead); err != nil {
		s.Close()
		return nil, err
	}
	return s, nil
}

func (s *Source) open(ctx context.Context, h Hear, r roles.Role, lead crew.Copy) (err error) {
	if err := sameMusic(ctx, s.folder, lead); err != nil {
		return err
	}
	track := -1
	if s.Name = companion.TheMusic; h == Calls {
		if sum, err := s.folder.CallsSum(ctx); err != nil {
			return err
		} else if lead.Calls == "" || sum != lead.Calls {
			return errors.New("found other cues or calls there than the lead's; wanted a copy of the lead's show folder")
		}
		if track = callsOf(s.folder.Show, r.Position); track < 0 {
			return fmt.Errorf("found no track with calls for %s; wanted a [[track]] in show.toml that calls it", r.Position)
		}
		s.Name, s.Calls = show.Clean(s.folder.Show.Tracks[track].File), s.folder.Show.Tracks[track].CallsOf()
	}
	s.Stream, err = s.tracks.OpenAt(track)
	return err
}

// sameMusic refuses another soundtrack than the lead's. Other tags around the same
// sound do no harm.
func sameMusic(ctx context.Context, f *folder.Folder, lead crew.Copy) error {
	if lead.Music != "" && f.SHA256 == lead.Music {
		return nil
	}
	if lead.Audio != "" {
		if audio, _, err := listen.HashAudio(ctx, f.Listened(), func(string, float64) {}); err == nil && audio == lead.Audio {
			return nil
		}
	}
	return fmt.Errorf("%s: found another soundtrack than the lead's; wanted a copy of the lead's show folder", show.Clean(f.Show.Soundtrack.File))
}

// callsOf is the track on which a position is called; -1 for none.
func callsOf(s *show.Show, position string) int {
	return slices.IndexFunc(s.Tracks, func(t show.Track) bool {
		of := t.CallsOf()
		return of[0] == position || of[1] == position
	})
}
