package loudness

import (
	"cmp"
	"slices"
)

// MaxClips is how many clipped runs a Result names by their place.
const MaxClips = 10

// A Clip is a run of samples of one channel that stand at or beyond the clip
// level with one sign.
type Clip struct {
	Frame   int64 `json:"frame"`   // the first clipped one
	Length  int64 `json:"length"`  // in frames
	Channel int   `json:"channel"` // 0 is left, 1 is right
}

// A clipper finds the clipped runs of one channel.
type clipper struct {
	level    float64
	shortest int64 // run that counts

	frame int64 // of the next sample
	sign  float64
	run   Clip // being followed, if its length is not 0

	runs    int
	longest int64
	first   []Clip // at most MaxClips
}

func newClipper(channel int, o Options) clipper {
	c := clipper{level: 32767.0 / 32768, shortest: 3, run: Clip{Channel: channel}}
	if o.ClipLevel > 0 {
		c.level = o.ClipLevel
	}
	if o.ClipRun > 0 {
		c.shortest = int64(o.ClipRun)
	}
	return c
}

// add follows the next samples, none of them larger than peak. Nearly always
// that alone settles that none is clipped.
func (c *clipper) add(x []float64, peak float64) {
	if peak < c.level && c.run.Length == 0 {
		c.frame += int64(len(x))
		return
	}
	for _, v := range x {
		if c.run.Length > 0 && v*c.sign < c.level {
			c.end()
		}
		switch {
		case c.run.Length > 0:
			c.run.Length++
		case v >= c.level:
			c.sign, c.run.Frame, c.run.Length = 1, c.frame, 1
		case v <= -c.level:
			c.sign, c.run.Frame, c.run.Length = -1, c.frame, 1
		}
		c.frame++
	}
}

// end closes the run being followed, if there is one.
func (c *clipper) end() {
	if n := c.run.Length; n > 0 && n >= c.shortest {
		c.runs++
		c.longest = max(c.longest, n)
		if len(c.first) < MaxClips {
			c.first = append(c.first, c.run)
		}
	}
	c.run.Length = 0
}

// soFar returns the clipper as if the stream ended now.
func (c *clipper) soFar() clipper {
	now := *c
	now.first = slices.Clone(c.first)
	now.end()
	return now
}

// firstClips merges the places of two channels in the order of the stream.
func firstClips(clips []Clip) []Clip {
	slices.SortStableFunc(clips, func(a, b Clip) int {
		return cmp.Or(cmp.Compare(a.Frame, b.Frame), cmp.Compare(a.Channel, b.Channel))
	})
	return clips[:min(len(clips), MaxClips)]
}
