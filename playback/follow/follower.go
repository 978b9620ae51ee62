package follow

import (
	"math"
	"time"

	"drylane/show/timebase"
)

const (
	// slipFrames is how far from where they are due frames may run on and be the
	// same code with a frame doubled or missing.
	slipFrames = 2
	// sameFrames is how far from the end of the last good frame code may go on and go
	// on from the same place: the frame that a stop cuts is lost, and so is what passes
	// until a frame is whole again.
	sameFrames = 4
	// overdue is how much of a label's length after its end the next one must be
	// read, before the place is carried.
	overdue = 1.1
	// speedFrames is how many frames the speed is taken over, at least, once there
	// are as many.
	speedFrames = 16
	// doubtful is up to where in the soundtrack a rate need not be told from the one
	// 0.1 % away: the place is right to 15 ms all the same.
	doubtful = 15 * time.Second
)

// A Follower follows code by its labels. An LTC and an MTC have one each.
type Follower struct {
	cfg   Config
	rates rateFinder
	at    float64 // samples passed

	last   Label    // the last one read
	first  Label    // with which its run began
	run    int      // frames in that run
	marks  [2]Label // in it, from which the speed is taken: the older first
	marked int      // frames in the run when the newer was taken

	good  Label // the last one that was in its place
	speed float64
	now   Now
	top   time.Duration // the furthest place told since the lock
}

// newFollower returns a follower that searches. stretch is over how many seconds of code
// rates 0.1 % apart are told from each other.
func newFollower(cfg Config, stretch float64) *Follower {
	if cfg.Carry == 0 {
		cfg.Carry = DefaultCarry
	}
	return &Follower{cfg: cfg, rates: rateFinder{named: cfg.Rate, stretch: stretch}, speed: 1}
}

// add takes the next label that was read.
func (f *Follower) add(l Label) {
	if f.now.Read && runsOn(f.last, l, f.rates.candidates()) {
		f.rates.saw(f.last, l, f.fps(l))
		f.run += l.Frames
		f.mark(l)
	} else {
		if f.now.State == Searching || f.now.Why == WrongRate {
			f.rates.forget()
		}
		f.first, f.run, f.marks, f.marked = l, l.Frames, [2]Label{l, l}, l.Frames
		f.rates.saw(l, l, f.fps(l))
	}
	f.last, f.now.Label, f.now.Read = l, l.Timecode, true
	whole := f.run >= LockFrames
	if whole {
		f.rates.measured((l.Start-f.first.Start)/f.rate(), f.runFPS())
	}
	switch {
	case f.now.Following() && f.inPlace(l):
		f.take(l)
	case whole:
		f.judge(l)
	case f.now.State == Locked:
		f.now.State = Carried
	}
}

func (f *Follower) rate() float64 { return float64(f.cfg.SampleRate) }

// fps is how many frames of the length of l fit in a second.
func (f *Follower) fps(l Label) float64 { return float64(l.Frames) * f.rate() / l.Length }

// runFPS is the same over the whole run up to the last label.
func (f *Follower) runFPS() float64 {
	return float64(f.run-f.last.Frames) * f.rate() / (f.last.Start - f.first.Start)
}

// mark keeps a label to take the speed from, speedFrames to twice as many back.
func (f *Follower) mark(l Label) {
	if f.run-f.marked >= speedFrames {
		f.marks, f.marked = [2]Label{f.marks[1], l}, f.run
	}
}

// pace is the speed of the code against its rate, over the latest frames that run on.
func (f *Follower) pace(x timebase.Rate) float64 {
	from := f.marks[0]
	if from.Start == f.last.Start {
		return f.fps(f.last) / x.FPS()
	}
	n := math.Abs(float64(between(from.Timecode, f.last.Timecode, x.Count())))
	return n * f.rate() / (f.last.Start - from.Start) / x.FPS()
}

// place is where in the soundtrack a label begins, at a rate.
func (f *Follower) place(l timebase.Timecode, x timebase.Rate) time.Duration {
	return x.At(f.index(l, x))
}

// index counts the frames from the first frame of the soundtrack to a label.
func (f *Follower) index(l timebase.Timecode, x timebase.Rate) int64 {
	from := f.cfg.From
	from.Drop = l.Drop // as the code has it, however it was written
	return between(from, l, x.Count())
}

// placeAt is the place at a sample, going by the last good label.
func (f *Follower) placeAt(sample float64) time.Duration {
	x, _ := f.rates.rate()
	past := time.Duration((sample - f.good.end()) / f.rate() * f.speed * float64(time.Second))
	return f.endOf(f.good, x) + min(past, f.cfg.Carry)
}

// endOf is the place at the end of a label.
func (f *Follower) endOf(l Label, x timebase.Rate) time.Duration {
	return x.At(f.index(l.Timecode, x) + int64(l.Frames))
}

// off is by how many frames a label is ahead of what is due, going by the last good
// one.
func (f *Follower) off(l Label) float64 {
	x, _ := f.rates.rate()
	due := (l.Start - f.good.end()) / f.rate() * f.speed * x.FPS()
	return float64(between(f.good.Timecode, l.Timecode, x.Count())) - float64(f.good.Frames) - due
}

// inPlace reports whether a label is where one is due.
func (f *Follower) inPlace(l Label) bool {
	return !l.Reverse && math.Abs(f.off(l)) < 0.5 && f.rates.fits(l, f.fps(l)) && f.certain(l)
}

// certain reports whether the rate is known well enough for the place of a label.
func (f *Follower) certain(l Label) bool {
	x, sure := f.rates.rate()
	return x != 0 && (sure || f.place(l.Timecode, x).Abs() < doubtful)
}

// take makes l the label by which the place goes.
func (f *Follower) take(l Label) {
	x, _ := f.rates.rate()
	f.good = l
	if f.run >= LockFrames {
		f.speed = min(max(f.pace(x), slowest), fastest)
	}
	f.now.State, f.now.Why = Locked, NoReason
}

// judge says what a run that is long enough is.
func (f *Follower) judge(l Label) {
	switch {
	case l.Reverse:
		f.refuse(Backwards)
	case !f.rates.fits(l, f.runFPS()):
		f.refuse(WrongRate)
	case !f.certain(l):
		f.refuse(RateUnknown)
	case f.now.Following() && (math.Abs(f.off(l)) <= slipFrames+0.5 || f.goesOn()):
		f.now.Slips++
		f.take(l)
	case f.now.Following():
		f.refuse(Jumped)
	default:
		f.lock(l)
	}
}

// refuse takes a run for one that is not followed.
func (f *Follower) refuse(why Why) {
	f.now.Why = why
	if f.now.Following() {
		f.lose(f.last.end(), why)
	}
}

// lose ends the following at a sample.
func (f *Follower) lose(sample float64, why Why) {
	x, _ := f.rates.rate()
	f.now.Loss = Loss{N: f.now.Loss.N + 1, Why: why, Place: max(f.top, f.placeAt(sample))}
	if why == Jumped {
		due := f.good.Timecode.Frames(x.Count()) + int64(f.good.Frames)
		f.now.Loss.From, f.now.Loss.To = x.Timecode(due), f.first.Timecode
	}
	f.now.State, f.now.Why = Lost, why
}

// goesOn reports whether the run goes on from where the last good label ended, however
// long that is ago.
func (f *Follower) goesOn() bool {
	x, _ := f.rates.rate()
	gap := between(f.good.Timecode, f.first.Timecode, x.Count()) - int64(f.good.Frames)
	return -sameFrames <= gap && gap <= sameFrames
}

// lock begins to follow the run that l belongs to.
func (f *Follower) lock(l Label) {
	f.now.Again = false
	if f.now.State == Lost {
		f.now.Again = f.goesOn()
	}
	f.now.Locks++
	f.top = math.MinInt64
	f.take(l)
}

// pass tells that the samples before this one have been listened to.
func (f *Follower) pass(sample float64) {
	f.at = max(f.at, sample)
	if !f.now.Following() {
		return
	}
	silent := f.at - f.good.end()
	if silent > overdue*f.good.Length {
		f.now.State = Carried
	}
	if silent > max(f.cfg.Carry.Seconds()*f.rate(), overdue*f.good.Length) {
		f.lose(f.at, Stopped)
	}
}

// At tells how the following stands, with the place as it is at a sample, which may
// be one that has not come in yet.
func (f *Follower) At(sample float64) Now {
	n := f.now
	x, sure := f.rates.rate()
	if sure {
		n.Rate = x
	}
	n.Speed = f.speed
	switch {
	case n.Following():
		f.top = max(f.top, f.placeAt(sample)) // a label that is early or late takes nothing back
		n.Place = f.top
	case n.State == Lost:
		n.Place = n.Loss.Place
	}
	return n
}

// Sample is how many samples have been listened to.
func (f *Follower) Sample() float64 { return f.at }
