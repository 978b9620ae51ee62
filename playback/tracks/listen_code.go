package tracks

import (
	"fmt"
	"math"

	"drylane/playback/ltc"
)

// A codeEar decodes timecode. It hears the frames that lie in the file whole,
// and silence around them: of a frame that an end of the file cuts off within
// its first or last bit, nobody can say whether it is read or not.
type codeEar struct {
	file    *File
	side    *Side
	config  ltc.Config
	decoder *ltc.Decoder
	checker *ltc.Checker
	err     error
	whole   []float64 // what is heard of a chunk
}

func (t *Timecode) listener(f *File, s *Side) listener {
	e := &codeEar{file: f, side: s, config: t.config, checker: ltc.NewChecker(f.Rate)}
	e.decoder, e.err = ltc.NewDecoder(f.Rate, e.checker.Add)
	return e
}

func (e *codeEar) hear(samples []float64, from int64) error {
	if e.err != nil {
		return e.err
	}
	first, last := e.due()
	at := func(frame int64) int64 {
		return min(max(e.start(frame)-from, 0), int64(len(samples)))
	}
	e.whole = append(e.whole[:0], samples...)
	clear(e.whole[:at(first)])
	clear(e.whole[at(last+1):])
	e.decoder.Write(e.whole)
	return nil
}

// verdict wants every whole frame of timecode that lies in the file, without a
// fault, and the first of them on its frame.
func (e *codeEar) verdict() (string, error) {
	e.decoder.Flush()
	r, err := e.checker.Report()
	if err != nil {
		return "", err
	}
	first, last := e.due()
	zero, err := e.config.Rate.Index(e.config.Start)
	if err != nil {
		return "", err
	}
	start := e.start(first)
	off := r.First.Start - float64(start)
	if r.FaultCount > 0 {
		return "", fmt.Errorf("the timecode has %d faults, the first at %s: %s", r.FaultCount, e.file.clock(r.Faults[0].Sample), r.Faults[0])
	}
	wantFirst, wantLast := e.config.Rate.Timecode(zero+first), e.config.Rate.Timecode(zero+last)
	if r.First.Timecode != wantFirst || r.Last.Timecode != wantLast || r.Frames != last-first+1 || r.Rate != e.config.Rate || math.Abs(off) > 1 {
		return "", fmt.Errorf("found timecode %s at %s to %s, %s frames a second; wanted %s at %s to %s, %s frames a second",
			r.First.Timecode, e.file.clock(r.First.Sample()), r.Last.Timecode, r.Rate, wantFirst, e.file.clock(start), wantLast, e.config.Rate)
	}
	return fmt.Sprintf("timecode at %s, %s at %s to %s: %d frames, none missing, %.1f dBFS",
		r.Rate, r.First.Timecode, e.file.clock(r.First.Sample()), r.Last.Timecode, r.Frames, r.Quietest), nil
}

// due returns the first and the last whole frame of timecode in the file.
func (e *codeEar) due() (first, last int64) {
	rate := e.config.Rate
	if e.side.Offset < 0 {
		first = rate.FrameAt(-e.side.Offset-1, e.file.Rate) + 1
	}
	end := min(e.file.Length-e.side.Offset, int64(e.config.Length))
	last = rate.FrameAt(end, e.file.Rate) - 1
	return first, last
}

// start is the frame of the file at which a frame of timecode starts.
func (e *codeEar) start(frame int64) int64 {
	return e.side.Offset + e.config.Rate.Sample(frame, e.file.Rate)
}
