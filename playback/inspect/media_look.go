package inspect

import (
	"bytes"
	"errors"
	"io"
	"io/fs"
	"time"

	"drylane/playback"
	"drylane/playback/align"
	"drylane/playback/folder"
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
	if a.Rate == n.Rate && a.Length == n.Length && r.sameSound(n.File, c.Path) {
		s.SameSound = true
		return s
	}
	result, err := r.compare(n.File, c.Path, progress)
	if err != nil {
		s.Open = "it cannot be compared with the show's: " + err.Error()
		return s
	}
	s.Compared = comparedOf(result)
	if s.Sides, err = r.sideFaults(n.File, c.Path, n.Length); err != nil {
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
func (r *mediaReader) sameSound(own, path string) bool {
	var sums [2]string
	for i, f := range [...]struct {
		files fs.FS
		name  string
	}{{r.folder, own}, {r.medium, path}} {
		s, err := folder.Sound(f.files, f.name)
		if err != nil {
			return false
		}
		sums[i], err = playback.HashAudio(r.ctx, s, nil)
		s.Close()
		if err != nil {
			return false
		}
	}
	return sums[0] == sums[1]
}

func (r *mediaReader) compare(own, path string, progress func(float64)) (align.Result, error) {
	a, err := folder.Sound(r.folder, own)
	if err != nil {
		return align.Result{}, err
	}
	defer a.Close()
	b, err := folder.Sound(r.medium, path)
	if err != nil {
		return align.Result{}, err
	}
	defer b.Close()
	streamA, streamB := a.PassStream(r.ctx, opener(r.folder, own)), b.PassStream(r.ctx, opener(r.medium, path))
	defer streamA.Close()
	defer streamB.Close()
	return align.Compare(r.ctx, streamA, streamB, align.Options{Progress: progress})
}

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
