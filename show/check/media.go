package check

import (
	"fmt"
	"math"
	"path"
	"time"

	"drylane/show"
)

// A Need is a file that the show needs in the field.
type Need struct {
	File   string   // path in the show folder
	Users  []string // such as "the soundtrack" or "player sound desk"
	Size   int64    // of the show folder's own file, as all below
	SHA256 string
	Length time.Duration
	Rate   int
}

// A Sight is what was seen of one file of a medium.
type Sight struct {
	Candidate
	// Same says that it is the show's file byte for byte.
	Same bool
	// Begins says that it is shorter and all there is of it is the beginning of
	// the show's file.
	Begins bool
	// SameSound says that only its tags differ.
	SameSound bool
	// Open says why it cannot be played or compared; empty when it can.
	Open   string
	Cut    string // how much is missing of a file that is cut off
	Length time.Duration
	Rate   int
	// Compared is how its music lies against the show's; nil where a comparison
	// was not needed, or not possible.
	Compared *Compared
	// StartUncertain is by how much players may differ about where it starts.
	StartUncertain time.Duration
	// Sides says what keeps a side of a companion that was coded anew from its
	// use, a sentence each.
	Sides []string
}

// Compared is what a comparison of the music came to.
type Compared struct {
	Same    bool          // the same music throughout
	Offset  time.Duration // positive: the medium's music comes later
	PPM     float64       // positive: it runs slow
	Steady  bool          // PPM is too small to matter
	Words   string        // all of it, as a sentence
	Upside  bool          // its polarity is reversed
	Swapped bool          // left and right are exchanged
	Sides   []string      // what is wrong with one side alone, each a part of a sentence
	// LacksStart and LacksEnd are how much of the music it does not hold.
	LacksStart, LacksEnd time.Duration
	// Repeats says that the music repeats itself so closely that Offset may be
	// off by a repeat.
	Repeats bool
}

// A Medium is what was seen on a medium for the needs of a show.
type Medium struct {
	Name  string // for people
	Needs []Need
	// Best and Others are what was seen for each need. Best is nil where
	// nothing was found.
	Best   []*Sight
	Others [][]Sight
	More   bool // there are more files than were looked at
}

// Media holds a medium against the needs of a show.
func Media(m *Medium) Findings {
	c := &collector{counts: map[string]int{}}
	for i, need := range m.Needs {
		place := path.Join(m.Name, need.File)
		best := m.Best[i]
		if best == nil {
			c.stop(CodeMediaMissing, place, "it is not there ("+users(need)+")", "copy it from the show folder")
		} else {
			place = path.Join(m.Name, best.Path)
			nameFinding(place, need, best, c)
			sightFinding(place, need, best, c)
		}
		for _, o := range m.Others[i] {
			otherFinding(m.Name, need, o, c)
		}
	}
	if m.More {
		c.warn(CodeMediaMore, m.Name, "there are more files on it than were looked at", "use a medium with nothing on it but the show's files")
	}
	return c.findings()
}

func users(n Need) string {
	s := ""
	for i, u := range n.Users {
		if i > 0 {
			s += ", "
		}
		s += show.Clean(u)
	}
	return s
}

// nameFinding is about a name that is near but not right.
func nameFinding(place string, need Need, s *Sight, c *collector) {
	if s.Why == "" {
		return
	}
	c.warn(CodeMediaName, place, "it stands there for "+show.Quote(path.Base(need.File))+": "+s.Why,
		"name it as the show does: a player may not find it, or play another")
}

// otherFinding is about a further file that may be played instead.
func otherFinding(medium string, need Need, s Sight, c *collector) {
	what := "another file than the show's"
	switch {
	case s.Size == 0:
		what = "an empty file"
	case s.Same:
		what = "the same file once more"
	}
	c.warn(CodeMediaCopy, path.Join(medium, s.Path), fmt.Sprintf("it may be played for %s: %s, and it is %s", show.Quote(path.Base(need.File)), why(s.Why), what),
		"take it off the medium")
}

func why(w string) string {
	if w == "" {
		return "it has the same name"
	}
	return w
}

// sightFinding is about what is in the file.
func sightFinding(place string, need Need, s *Sight, c *collector) {
	switch {
	case s.Same:
		c.note(CodeMediaSame, place, "it is the show's file, byte for byte ("+users(need)+")", "")
	case s.Size == 0:
		c.stop(CodeMediaEmpty, place, "it has a name and nothing in it", "copy it again, and take the medium out only when the system says so")
	case s.Begins:
		c.stop(CodeMediaCut, place, fmt.Sprintf("only %s of %s were copied", size(s.Size), size(need.Size)),
			"copy it again, and take the medium out only when the system says so")
	case s.Cut != "":
		c.stop(CodeMediaCut, place, s.Cut, "copy it again")
	case s.SameSound:
		c.note(CodeMediaSame, place, "its sound is the show's, frame for frame; only tags or packing differ ("+users(need)+")", "")
	case s.Open != "":
		c.stop(CodeMediaOpen, place, s.Open, "copy the show's own file")
	case s.Compared == nil:
		c.stop(CodeMediaOpen, place, "it is another file than the show's, and there is nothing to compare it with", "put the show's own file in its folder, then check again")
	case !s.Compared.Same:
		c.stop(CodeMediaOther, place, s.Compared.Words, "copy the show's own file")
		for _, side := range s.Sides { // of timecode that a thin coding has spoiled this tells more
			c.stop(CodeMediaSide, place, side, "copy the show's own file")
		}
	default:
		codedFinding(place, need, s, c)
		for _, side := range s.Sides {
			c.stop(CodeMediaSide, place, side, "copy the show's own file: coding it anew has spoiled it")
		}
	}
}

const (
	// together is the offset below which two files start together.
	together = time.Millisecond
	// tooFar is how far cues may be off, at the start or by the end, before a
	// re-encoded file is refused: a step of the nudge.
	tooFar = 100 * time.Millisecond
	// lacking is how much of the end may be missing: fades, and what lossy
	// formats leave off.
	lacking = 250 * time.Millisecond
)

// codedFinding is about the same music in another coding.
func codedFinding(place string, need Need, s *Sight, c *collector) {
	r := s.Compared
	found, do := "same music, re-encoded, and it starts together with the show's", "rehearse with this file, or copy the show's own"
	add := c.warn
	switch {
	case r.Offset >= together:
		found = fmt.Sprintf("same music, re-encoded, %d ms late: expect cues %[1]d ms early", ms(r.Offset))
		do = "copy the show's own file; if it must be this one, move the cues LATER by that much"
	case r.Offset <= -together:
		found = fmt.Sprintf("same music, re-encoded, %d ms early: expect cues %[1]d ms late", ms(-r.Offset))
		do = "copy the show's own file; if it must be this one, move the cues EARLIER by that much"
	}
	if len(s.Sides) > 0 {
		do = "copy the show's own file"
	}
	atEnd := r.Offset
	if !r.Steady {
		drift := time.Duration(r.PPM / 1e6 * float64(need.Length))
		atEnd += drift
		found += fmt.Sprintf("; it runs %s by %.0f ppm, so at its end cues are %d ms %s", slow(r.PPM), math.Abs(r.PPM), ms(atEnd.Abs()), early(atEnd))
	}
	if max(r.Offset.Abs(), atEnd.Abs()) > tooFar {
		add = c.stop
	}
	if s.StartUncertain > 0 {
		found += "; its encoder left no record of its delay, so that another player may start it later or earlier"
	}
	for _, side := range r.Sides {
		found += "; " + side
		add, do = c.stop, "copy the show's own file"
	}
	if r.Upside {
		found += "; its polarity is reversed"
	}
	if r.Swapped {
		found += "; left and right are exchanged"
	}
	if r.Repeats {
		found += "; the music repeats itself, so this may be wrong by a repeat"
	}
	add(CodeMediaCoded, place, found, do)
	if r.LacksStart > lacking {
		c.stop(CodeMediaCut, place, fmt.Sprintf("its first %.1f s are missing", r.LacksStart.Seconds()), "copy the show's own file")
	}
	if missing := max(need.Length-(s.Length-r.Offset), r.LacksEnd); missing > lacking {
		c.stop(CodeMediaCut, place, fmt.Sprintf("its last %.1f s are missing", missing.Seconds()), "copy the show's own file")
	}
	if need.Rate != 0 && s.Rate != need.Rate {
		c.warn(CodeRate, place, fmt.Sprintf("it runs at %d Hz and the show's file at %d Hz", s.Rate, need.Rate),
			"use one rate for all files: a player set to the wrong one plays too fast or too slow")
	}
}

func slow(ppm float64) string {
	if ppm > 0 {
		return "slow"
	}
	return "fast"
}

// early words where cues are when the music is late by d.
func early(d time.Duration) string {
	if d >= 0 {
		return "early"
	}
	return "late"
}

// size writes a count of bytes for a person.
func size(n int64) string {
	switch {
	case n < 1000:
		return fmt.Sprintf("%d bytes", n)
	case n < 1_000_000:
		return fmt.Sprintf("%.1f kB", float64(n)/1e3)
	}
	return fmt.Sprintf("%.1f MB", float64(n)/1e6)
}
