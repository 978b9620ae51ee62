package field

import (
	"time"

	"drylane/show"
)

// A MusicArrival is when the music is heard at a named place, after it left the speakers.
type MusicArrival struct {
	Name  string
	Music time.Duration
}

// MusicArrivals are when the music is heard wherever people may stand: at the audiences, the
// main one first, and at the positions whose distance is known. Of two places of one name
// it is the first. A show that lists no speaker has no such times.
func MusicArrivals(s *show.Show) (list []MusicArrival) {
	if len(s.Speakers) == 0 {
		return nil
	}
	marks := audiences(s)
	for _, p := range s.Positions {
		if p.Distance != 0 {
			marks = append(marks, Mark{show.Clean(p.Name), placeAt(p.Distance, p.Bearing)})
		}
	}
	named := map[string]bool{}
	for _, m := range marks {
		if named[m.Name] {
			continue
		}
		named[m.Name] = true
		music, _ := musicAt(m, s.Speakers, s.Air.TemperatureC)
		list = append(list, MusicArrival{m.Name, music})
	}
	return list
}

// musicAt is when the music is heard at a place, and from which speaker: the first sound
// to arrive decides.
func musicAt(mark Mark, speakers []show.Speaker, celsius float64) (music time.Duration, from string) {
	for i, sp := range speakers {
		at := Travel(mark.To(placeAt(sp.Distance, sp.Bearing)), celsius) + sp.Delay
		if i == 0 || at < music {
			music, from = at, show.Clean(sp.Name)
		}
	}
	return music, from
}
