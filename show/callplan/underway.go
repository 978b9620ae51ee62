package callplan

import "time"

// Attack is how long before its mark a phrase may already be heard: its mark is
// the onset of its loudest part.
const Attack = 200 * time.Millisecond

// Underway returns the shot that is being called at a time of the soundtrack: a
// track that is taken up there has lost some of what is said for it. begin is
// the time from which on all of it would be heard, no later than at. A count is
// under way from its warning until the last cue of its group has ignited; the
// shots of one series follow one another without a break.
func (p Plan) Underway(at time.Duration) (shot Shot, begin time.Duration, ok bool) {
	for _, series := range p {
		begin := max(0, series.Begin()-Attack)
		if at <= begin {
			break // nothing of this one has been said, nor of a later one
		}
		for _, shot := range series.Shots {
			if at <= shot.End() {
				return shot, begin, true
			}
		}
	}
	return Shot{}, 0, false
}
