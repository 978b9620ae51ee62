package inspect

import (
	"crypto/sha256"
	"fmt"
	"io/fs"
	"slices"
	"time"

	"drylane/playback/companion"
	"drylane/playback/folder"
	"drylane/playback/listen"
	"drylane/show"
	"drylane/show/timebase"
)

// An ear hears one side of a companion that was coded anew, and judges it by
// what it is for: music that is the same to a listener may be timecode that no
// reader follows.
type ear interface {
	hear(samples []float64)
	// fault is what keeps the side from its use; empty for nothing.
	fault() string
}

// sidesVersion numbers how the sides of a companion are heard and judged.
const sidesVersion = 1

// sidesOf is sideFaults, or what was kept of it.
func (r *mediaReader) sidesOf(own, there listen.File, length time.Duration) ([]string, error) {
	both, err := listen.Together(r.ctx, tellNobody, &own, &there)
	if err != nil {
		return nil, err
	}
	sum, err := r.showSum(own.Name)
	if err != nil {
		both = listen.File{}
	}
	return listen.Remember(both, "sides-"+sum, sidesVersion, func([]string) bool { return true },
		func() ([]string, error) { return r.sideFaults(own.Name, there.Name, length) })
}

// showSum is a hash of all that the show was read from but its sound: what its
// companions should carry, with the name of the one in question.
func (r *mediaReader) showSum(name string) (string, error) {
	h := sha256.New()
	fmt.Fprintln(h, name)
	for _, name := range append([]string{folder.ShowFile, r.show.CuesFile}, r.show.Calls.Files()...) {
		sum, err := folder.Hash(r.ctx, r.folder, name)
		if err != nil {
			return "", err
		}
		fmt.Fprintln(h, sum)
	}
	return fmt.Sprintf("%x", h.Sum(nil)[:8]), nil
}

// sideFaults says what is wrong with the sides of the file at path of the
// medium, which stands for the companion own of the show, a sentence each.
func (r *mediaReader) sideFaults(own, path string, length time.Duration) ([]string, error) {
	var faults []string
	for _, t := range r.show.Tracks {
		if t.File != own {
			continue
		}
		found, err := r.trackFaults(t, path, length)
		if err != nil {
			return nil, err
		}
		for _, f := range found {
			if !slices.Contains(faults, f) { // two tracks may have one file
				faults = append(faults, f)
			}
		}
	}
	return faults, nil
}

// trackFaults is sideFaults for one track, whose own file lasts length.
func (r *mediaReader) trackFaults(t show.Track, path string, length time.Duration) ([]string, error) {
	var ears [2]ear
	for i, text := range [...]string{t.Left, t.Right} {
		c, err := show.ParseChannel(text)
		if text == "" || err != nil {
			continue // whoever reads show.toml says so
		}
		if ears[i], err = r.earFor(c, t.File, path, i, length); err != nil {
			return nil, err
		}
	}
	if ears == [2]ear{} {
		return nil, nil
	}
	if err := r.hearSides(r.medium, path, ears); err != nil {
		return nil, err
	}
	var faults []string
	for i, e := range ears {
		if e == nil {
			continue
		}
		if f := e.fault(); f != "" {
			faults = append(faults, fmt.Sprintf("on its %s side %s", [...]string{"left", "right"}[i], f))
		}
	}
	return faults, nil
}

// earFor returns what judges a side that carries c, or nil for what the
// comparison of the music has judged already.
func (r *mediaReader) earFor(c show.Channel, own, path string, side int, length time.Duration) (ear, error) {
	rate := soundFacts(r.medium, path).Rate
	switch {
	case c.Source == show.ChannelTimecode:
		return newCodeEar(c, rate, length)
	case c.Source == show.ChannelTone:
		return &toneEar{hz: c.Hz, level: c.Level + c.Gain, from: max(c.Offset, 0), to: length + min(c.Offset, 0), rate: rate}, nil
	case c.Source == show.ChannelMusic && c.Witness && r.show.Witness != nil:
		at := r.show.Witness.At + c.Offset
		return &toneEar{hz: show.WitnessHz, level: show.DefaultChannelLevel + c.Gain, from: at, to: at + show.WitnessLength, rate: rate}, nil
	case c.Source == show.ChannelCalls || c.Source == show.ChannelPips:
		e := &callsEar{words: companion.Words(r.show, c), heard: envelope{rate: rate}}
		e.wanted.rate = soundFacts(r.folder, own).Rate
		var ears [2]ear
		ears[side] = &e.wanted
		return e, r.hearSides(r.folder, own, ears)
	}
	return nil, nil
}

// hearSides plays a file to the ears of its sides.
func (r *mediaReader) hearSides(files fs.FS, path string, ears [2]ear) error {
	_, err := passOver(r.ctx, files, path, func(_ timebase.Frame, frames [][2]float64) error {
		hearFrames(ears, frames)
		return nil
	})
	return err
}

func hearFrames(ears [2]ear, frames [][2]float64) {
	mono := make([]float64, len(frames))
	for side, e := range ears {
		if e == nil {
			continue
		}
		for i, f := range frames {
			mono[i] = f[side]
		}
		e.hear(mono)
	}
}
