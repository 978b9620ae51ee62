package align

import (
	"context"
	"math"
)

const (
	// rivalry is the part of the best line's share from which another line
	// makes the answer ambiguous.
	rivalry = 0.9
	// apart is how far off, in seconds, that other line must be.
	apart = 0.020
	// loopShare is what music that repeats itself must have in common to be
	// the same. Its windows all say the same, and so many are no better than one.
	loopShare = 0.85
)

// rival looks for a line that fits as well as the best one does, over half of
// its length or more. Where A resembles itself some time later, B is tried
// that much later too.
func (c *comparison) rival(ctx context.Context, best *contender) (contender, bool, error) {
	self := c.a.features()
	repeats, err := coarse(ctx, self, self, 1, c.maxOffset, wanted+1)
	if err != nil {
		return contender{}, false, err
	}
	for _, later := range repeats {
		if math.Abs(later.start) < apart {
			continue
		}
		l := line{start: best.start + best.ratio*later.start, ratio: best.ratio}
		r, err := c.screen(ctx, l)
		if err != nil {
			return contender{}, false, err
		}
		mid := c.a.seconds() / 2
		if math.Abs(r.at(mid)-best.at(mid)) > apart && r.share() >= rivalry*best.share() && r.overlap >= best.overlap/2 {
			return r, true, nil
		}
	}
	return contender{}, false, nil
}
