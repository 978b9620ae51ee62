// Package board is the field board: what the field should answer before arming, what
// it does answer, and what is wrong with it. In a rehearsal nobody is out there:
// readings are worked out from the show, the seconds since the board was opened, and
// a seed, with faults planted among them. The trainee has to see the fault in the
// figures, name it, and have it put right.
//
// Everything here is pure: the same show, seed, faults and acts give the same board
// at the same time.
package board

import (
	"fmt"
	"slices"

	"drylane/show"
)

// A Kind is what a device is.
type Kind uint8

// The kinds. A playback device counts like a module (common practice, no source).
const (
	Module Kind = iota
	Player
)

func (k Kind) String() string {
	if k == Player {
		return "player"
	}
	return "module"
}

// MarshalText is String.
func (k Kind) MarshalText() ([]byte, error) { return []byte(k.String()), nil }

// UnmarshalText takes what MarshalText gives.
func (k *Kind) UnmarshalText(text []byte) error {
	switch string(text) {
	case Module.String():
		*k = Module
	case Player.String():
		*k = Player
	default:
		return fmt.Errorf("found the kind of device %q; wanted module or player", text)
	}
	return nil
}

// A Want is a device that the show needs, and what it needs of it.
type Want struct {
	Kind     Kind   `json:"kind"`
	Name     string `json:"name"`
	Position string `json:"position,omitempty"` // where most of its cues are; empty for a player
	Pins     []int  `json:"pins,omitempty"`     // that the list fires, in order; of a module
	File     string `json:"file,omitempty"`     // that it must hold; of a player
	SHA256   string `json:"sha256,omitempty"`   // of that file, lower-case hex; empty when nobody recorded it
}

// Wants are the devices that a show needs: the modules of show.toml that have a cue,
// in its order, those that only the list names, and the players. hash gives the
// recorded hash of a player's file, and may be nil.
func Wants(s *show.Show, hash func(file string) string) []Want {
	var names []string
	for _, m := range s.Modules {
		names = append(names, m.Name)
	}
	pins, at := map[string][]int{}, map[string]map[string]int{}
	for _, c := range s.Cues {
		if c.Module == "" {
			continue
		}
		if at[c.Module] == nil {
			at[c.Module] = map[string]int{}
			if !slices.Contains(names, c.Module) {
				names = append(names, c.Module)
			}
		}
		at[c.Module][c.Position]++
		pins[c.Module] = append(pins[c.Module], c.Pin)
	}
	var list []Want
	for _, n := range names {
		if len(pins[n]) > 0 {
			slices.Sort(pins[n])
			list = append(list, Want{Kind: Module, Name: show.Clean(n), Position: show.Clean(most(at[n])), Pins: slices.Compact(pins[n])})
		}
	}
	for _, p := range s.Players {
		w := Want{Kind: Player, Name: show.Clean(p.Name), File: show.Clean(p.File)}
		switch {
		case hash != nil:
			w.SHA256 = hash(p.File)
		case p.File == s.Soundtrack.File:
			w.SHA256 = s.Soundtrack.SHA256
		}
		list = append(list, w)
	}
	return list
}

// most is the key with the highest count, the first of them by name.
func most(count map[string]int) string {
	best := ""
	for k, n := range count {
		if n > count[best] || n == count[best] && k < best {
			best = k
		}
	}
	return best
}
