package reach

import (
	"fmt"
	"math"

	"drylane/show"
	"drylane/show/field"
)

// A Link is the way by radio from the console to a position.
type Link struct {
	Position string
	Metres   float64 // from the console's antenna
	LossDB   float64
	MarginDB float64 // over what the receiver needs; negative: under it
	Lost     float64 // share of packets, 0 to 1
}

// tooMany is the share of lost packets from which a link is weak: at one in a
// hundred a command that is sent twice is lost once in ten thousand. Common
// practice, no source; the maker's figure is the better one.
const tooMany = 0.01

// Weak reports that more packets are lost than a plan should have.
func (l Link) Weak() bool { return l.Lost > tooMany }

// Links are those to the positions with a known distance, in the order of
// show.toml; none when show.toml has no [radio].
func Links(s *show.Show) []Link {
	r := s.Radio
	if r == nil {
		return nil
	}
	var out []Link
	for _, p := range s.Positions {
		if p.Distance == 0 {
			continue
		}
		l := Link{Position: show.Clean(p.Name), Metres: field.Between(r.Distance, r.Bearing, p.Distance, p.Bearing)}
		l.LossDB = Loss(r.MHz, l.Metres, r.ConsoleHeight, r.FieldHeight)
		l.MarginDB = r.PowerDBm + r.GainDB - l.LossDB - r.ReceiverDBm
		l.Lost = PacketsLost(l.MarginDB, r.ShadowDB)
		out = append(out, l)
	}
	return out
}

// Words are the figures of a link.
func (l Link) Words() string {
	weak := ""
	if l.Weak() {
		weak = ": WEAK"
	}
	return fmt.Sprintf("%.1f dB over the receiver's limit at %.0f m (the way takes %.1f dB), %s%s",
		l.MarginDB, l.Metres, l.LossDB, lostWords(l.Lost), weak)
}

func lostWords(share float64) string {
	switch percent := 100 * share; {
	case percent < 0.1:
		return "fewer than 1 packet in 1,000 lost"
	case percent < 1:
		return fmt.Sprintf("%.0f packets in 1,000 lost", math.Ceil(10*percent))
	case percent > 95:
		return "nearly all packets lost"
	default:
		return fmt.Sprintf("%.0f packets in 100 lost", percent)
	}
}

// Basis says what the figures of all links rest on.
func Basis(r *show.Radio) string {
	return fmt.Sprintf("%.4g MHz, %.3g dBm sent, %.3g dBm needed, antennas %+.3g dB at %.3g m and %.3g m; free space by ITU-R P.525, two rays beyond; a spread of %.2g dB",
		r.MHz, r.PowerDBm, r.ReceiverDBm, r.GainDB, r.ConsoleHeight, r.FieldHeight, r.ShadowDB)
}

// Care ends what is told of links and batteries.
const Care = "For planning, and no promise: a test on the ground decides."
