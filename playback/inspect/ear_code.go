package inspect

import (
	"fmt"
	"math"
	"time"

	"drylane/playback/ltc"
	"drylane/show"
	"drylane/show/timebase"
)

// A codeEar reads timecode back. It must be there whole: a frame that is
// missing within it is a fault, and at either end one may be, which lossy
// coding blurs.
type codeEar struct {
	channel show.Channel
	length  time.Duration // of the show's own file
	rate    int
	decoder *ltc.Decoder
	checker *ltc.Checker
}

func newCodeEar(c show.Channel, rate int, length time.Duration) (*codeEar, error) {
	e := &codeEar{channel: c, length: length, rate: rate, checker: ltc.NewChecker(rate)}
	var err error
	e.decoder, err = ltc.NewDecoder(rate, e.checker.Add)
	return e, err
}

func (e *codeEar) hear(samples []float64) { e.decoder.Write(samples) }

func (e *codeEar) fault() string {
	e.decoder.Flush()
	r, err := e.checker.Report()
	if err != nil {
		return "there is no timecode; it cannot be read back"
	}
	clock := func(sample int64) string { return timebase.ClockMillis(timebase.Frame(sample).At(e.rate)) }
	if r.FaultCount > 0 {
		return fmt.Sprintf("the timecode does not read back whole: %d faults, the first at %s: %s", r.FaultCount, clock(r.Faults[0].Sample), r.Faults[0])
	}
	first, last, err := e.due()
	if err != nil {
		return err.Error()
	}
	label := func(k int64) timebase.Timecode { return e.channel.Rate.Timecode(k) }
	begin, beginErr := e.channel.Rate.Index(r.First.Timecode)
	end, endErr := e.channel.Rate.Index(r.Last.Timecode)
	if r.Rate != e.channel.Rate || beginErr != nil || endErr != nil || !within(begin, first, 1) || !within(end, last, 1) {
		return fmt.Sprintf("the timecode is %s to %s at %s frames a second; wanted %s to %s at %s",
			r.First.Timecode, r.Last.Timecode, r.Rate, label(first), label(last), e.channel.Rate)
	}
	return ""
}

// due returns the first and the last frame whose whole sound lies in the file.
func (e *codeEar) due() (first, last int64, err error) {
	c := e.channel
	zero, err := c.Rate.Index(c.Start)
	if err != nil {
		return 0, 0, err
	}
	first = int64(math.Ceil(max(0, -c.Offset.Seconds()) * c.Rate.FPS()))
	last = int64((e.length-c.Offset).Seconds()*c.Rate.FPS()) - 1
	return zero + first, zero + last, nil
}

// within reports whether a and b are no more than n apart.
func within(a, b, n int64) bool { return max(a-b, b-a) <= n }
