package main

import (
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"math"
	"slices"
	"time"

	"drylane/playback/disk"
	"drylane/playback/folder"
	"drylane/show"
	"drylane/show/hear"
	"drylane/show/retime"
)

// mostHeard is the largest file of findings that is read, in bytes.
const mostHeard = 16 << 20

// fromHeard takes the moves from what "drylane hear --json" found, which must be of this
// very cue list: a list that was moved already would be moved twice.
func (c *retimeCmd) fromHeard(l *folder.Folder, within retime.Spec) ([]retime.Spec, error) {
	name := show.Clean(c.Heard)
	f, err := disk.OpenText(c.Heard, "list of findings")
	if err != nil {
		return nil, fmt.Errorf("--heard: %w", err)
	}
	defer f.Close()
	b, err := io.ReadAll(io.LimitReader(f, mostHeard+1))
	if err != nil {
		return nil, fmt.Errorf("--heard: %w", err)
	}
	if len(b) > mostHeard {
		return nil, fmt.Errorf("%s: found more than %d MB; wanted what \"drylane hear DIR RECORDING --json\" prints", name, mostHeard>>20)
	}
	var found struct {
		CuesSHA256 string        `json:"cues_sha256"`
		Changes    []hear.Change `json:"changes"`
		Positions  []struct {
			Name string `json:"name"`
			Told bool   `json:"told"`
		} `json:"positions"`
	}
	if err := json.Unmarshal(b, &found); err != nil || found.CuesSHA256 == "" {
		return nil, fmt.Errorf("%s: found no findings in it; wanted what \"drylane hear DIR RECORDING --json\" prints", name)
	}
	if found.CuesSHA256 != l.Show.CuesSHA256 {
		return nil, fmt.Errorf("%s: found a recording checked against another cue list (SHA-256 %.12s...) than %s has (%.12s...); wanted one of this list, as it is",
			name, show.Clean(found.CuesSHA256), l.Show.CuesFile, l.Show.CuesSHA256)
	}
	specs, err := heardSpecs(found.Changes, within)
	if err != nil {
		return nil, fmt.Errorf("%s: %w", name, err)
	}
	for _, p := range found.Positions {
		if !p.Told {
			c.unheard = append(c.unheard, p.Name)
		}
	}
	return specs, nil
}

// mostChange is the largest shift that a recording tells, in seconds.
const mostChange = 60.0

// heardSpecs makes moves of changes, as far as they are within what is to move.
func heardSpecs(changes []hear.Change, within retime.Spec) ([]retime.Spec, error) {
	var out []retime.Spec
	for _, ch := range changes {
		if within.Position != "" && ch.Position != "" && ch.Position != within.Position {
			continue
		}
		if !(math.Abs(ch.Earlier) <= mostChange) {
			return nil, fmt.Errorf("found a change of %g s; wanted at most %g either way", ch.Earlier, mostChange)
		}
		rate, err := retime.RateOf(ch.PPM)
		if err != nil {
			return nil, err
		}
		s := within
		s.Shift, s.Rate = time.Duration(math.Round(ch.Earlier*1e3))*time.Millisecond, rate
		// What grows counts from the start of the music.
		s.Shift += time.Duration(ch.PPM * 1e-6 * float64(within.From)).Round(time.Millisecond)
		if ch.Position != "" {
			s.Position = ch.Position
		}
		out = append(out, s)
	}
	if !slices.ContainsFunc(out, func(s retime.Spec) bool { return s.Shift != 0 || s.Rate != 0 }) {
		return nil, errors.New("what was heard gives no change to make")
	}
	return out, nil
}
