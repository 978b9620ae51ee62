package inspect

import (
	"bytes"
	"errors"
	"io"
	"time"

	"drylane/playback/align"
	"drylane/playback/listen"
	"drylane/show/check"
)

// look looks into one file, no further than it has to.
func (r *mediaReader) look(n *check.Need, c check.Candidate, progress func(float64)) check.Sight {
	s := check.Sight{Candidate: c}
	if s.Same = r.same(n, c.Entry); s.Same || c.Size == 0 {
		return s
	}
	if s.Begins = c.Size < n.Size && r.begins(n.File, c.Path); s.Begins {
		return s
	}
	a := soundFacts(r.medium, c.Path)
	s.Open, s.Cut, s.Length, s.Rate, s.StartUncertain = a.Open, a.Cut, a.Length, a.Rate, a.StartUncertain
	if s.Open != "" || n.Rate == 0 {
		return s
	}
	own, there := listenedIn(r.folder, n.File), listenedIn(r.medium, c.Path)
	if a.Rate == n.Rate && a.Length == n.Length && r.sameSound(own, there) {
		s.SameSound = true
		return s
	}
	result, err := listen.Compare(r.ctx, own, there, func(_ string, part float64) { progress(part) })
	if err != nil {
		s.Open = "it cannot be compared with the show's: " + err.Error()
		return s
	}
	s.Compared = comparedOf(result)
	if s.Sides, err = r.sidesOf(own, there, n.Length); err != nil {
		s.Open = "its sides cannot be heard: " + err.Error()
	}
	return s
}

// begins reports whether the medium's file is the beginning of the show's.
func (r *mediaReader) begins(own, path string) bool {
	a, err := r.folder.Open(own)
	if err != nil {
		return false
	}
	defer a.Close()
	b, err := r.medium.Open(path)
	if err != nil {
		return false
	}
	defer b.Close()
	bufA, bufB := make([]byte, 1<<16), make([]byte, 1<<16)
	for r.ctx.Err() == nil {
		n, err := io.ReadFull(b, bufB)
		if _, errA := io.ReadFull(a, bufA[:n]); errA != nil && n > 0 || !bytes.Equal(bufA[:n], bufB[:n]) {
			return false
		}
		if err != nil {
			return err == io.EOF || errors.Is(err, io.ErrUnexpectedEOF)
		}
	}
	return false
}

// sameSound reports whether only tags or packing differ.
func (r *mediaReader) sameSound(own, path listen.File) bool {
	a, _, errA := listen.HashAudio(r.ctx, own, tellNobody)
	b, _, errB := listen.HashAudio(r.ctx, path, tellNobody)
	return errA == nil && errB == nil && a == b
}

func tellNobody(string, float64) {}

// comparedOf takes over what the checks need to know of a comparison.
func comparedOf(r align.Result) *check.Compared {
	return &check.Compared{
		Same: r.Verdict == align.Same, Repeats: r.Ambiguous,
		Offset: time.Duration(r.OffsetMs * float64(time.Millisecond)),
		PPM:    r.RatePPM, Steady: r.Cause == align.CauseNone,
		Words:      r.Sentence("the show's file", "this one"),
		Sides:      r.SideFaults("the show's file", "this one"),
		LacksStart: time.Duration(r.LacksStartMs * float64(time.Millisecond)), LacksEnd: time.Duration(r.LacksEndMs * float64(time.Millisecond)),
		Upside: r.Polarity < 0, Swapped: r.Swapped,
	}
}
