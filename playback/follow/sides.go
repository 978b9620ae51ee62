package follow

// Sides follows the timecode that is on one side of sound in two channels, whichever
// that is: the other may carry music. It is the side that locks first, the left of two
// that do at once.
type Sides struct {
	side  [2]*LTC
	is    int // which it is; -1 before the first lock
	mono  [2][]float64
	piece int
}

// NewSides returns a reader of sound of cfg.SampleRate samples a second.
func NewSides(cfg Config) (*Sides, error) {
	s := &Sides{is: -1, piece: max(1, cfg.SampleRate/passEvery)}
	for i := range s.side {
		var err error
		if s.side[i], err = NewLTC(cfg); err != nil {
			return nil, err
		}
		s.mono[i] = make([]float64, s.piece)
	}
	return s, nil
}

// Write reads on. It allocates nothing.
func (s *Sides) Write(frames [][2]float64) {
	for len(frames) > 0 {
		n := min(s.piece, len(frames))
		for i, r := range s.side {
			if s.is >= 0 && s.is != i {
				continue // nobody asks for it any more
			}
			for k, f := range frames[:n] {
				s.mono[i][k] = f[i]
			}
			r.Write(s.mono[i][:n])
			if s.is < 0 && r.now.Following() {
				s.is = i
			}
		}
		frames = frames[n:]
	}
}

// follower is that of the side that is followed, or of the one that has read most.
func (s *Sides) follower() *Follower {
	switch {
	case s.is >= 0:
		return &s.side[s.is].Follower
	case s.side[1].now.Read && !s.side[0].now.Read:
		return &s.side[1].Follower
	}
	return &s.side[0].Follower
}

// At is as Follower.At.
func (s *Sides) At(sample float64) Now { return s.follower().At(sample) }

// Sample is how many samples have been listened to.
func (s *Sides) Sample() float64 { return max(s.side[0].at, s.side[1].at) }

// Pass tells that nothing has come in up to a sample.
func (s *Sides) Pass(sample float64) {
	for _, r := range s.side {
		r.pass(sample)
	}
}
