package callplan

import (
	"slices"

	"drylane/show"
)

// A Post is a position that is fired on calls.
type Post struct {
	Position string
	Plan     Plan   // of all that its crew hears
	Pips     bool   // in place of words
	Track    string // the companion that carries them; empty for none: a person calls
	// Shared says that the track calls other positions too: the crew hears
	// calls for cues that are not its own.
	Shared bool
}

// Posts are the positions of a show that are fired on calls, in its order: the
// hand-fired ones and those that a companion track calls. A track of a position
// alone comes before one for all.
func Posts(s *show.Show) []Post {
	var posts []Post
	for _, p := range s.Positions {
		post := Post{Position: p.Name}
		found := post.findTrack(s, p)
		if !found && !p.HandFired {
			continue
		}
		of := p.Name
		if post.Shared {
			of = ""
		}
		post.Plan = Of(s, of)
		posts = append(posts, post)
	}
	return posts
}

// findTrack looks for the channel that calls a position.
func (post *Post) findTrack(s *show.Show, p show.Position) bool {
	for _, shared := range [...]bool{false, true} {
		for _, t := range s.Tracks {
			for _, text := range [...]string{t.Left, t.Right} {
				c, err := show.ParseChannel(text)
				if err != nil || c.Source != show.ChannelCalls && c.Source != show.ChannelPips {
					continue
				}
				if !shared && c.Position == p.Name || shared && c.Position == "" && p.HandFired {
					post.Pips, post.Track, post.Shared = c.Source == show.ChannelPips, t.File, shared
					return true
				}
			}
		}
	}
	return false
}

// Of is the plan of a channel of calls: for the cues of a position, or of all
// that are hand-fired where position is empty.
func Of(s *show.Show, position string) Plan { return Lay(cuesOf(s, position), s.Calls.Words) }

func cuesOf(s *show.Show, position string) []Cue {
	called := func(name string) bool {
		if position != "" {
			return name == position
		}
		i := slices.IndexFunc(s.Positions, func(p show.Position) bool { return p.Name == name })
		return i >= 0 && s.Positions[i].HandFired
	}
	var cues []Cue
	for _, c := range s.Cues {
		if called(c.Position) {
			cues = append(cues, Cue{c.ID, c.IgniteAt()})
		}
	}
	return cues
}
