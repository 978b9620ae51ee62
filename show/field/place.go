package field

import (
	"math"

	"drylane/show"
)

// A Place is a point of the field in metres: X to the right of the main
// audience, Y straight ahead of it, which is at 0, 0.
type Place struct{ X, Y float64 }

// placeAt turns a distance and a bearing, in degrees clockwise from straight
// ahead, into a place.
func placeAt(metres, bearing float64) Place {
	sin, cos := math.Sincos(bearing * math.Pi / 180)
	return Place{metres * sin, metres * cos}
}

// To returns the distance from p to q in metres.
func (p Place) To(q Place) float64 { return math.Hypot(q.X-p.X, q.Y-p.Y) }

// MainAudience is the name of the place that all distances are measured from.
const MainAudience = "main audience"

// A Mark is a named place.
type Mark struct {
	Name string
	Place
}

// audiences are the places that people watch from, the main one first.
func audiences(s *show.Show) []Mark {
	marks := []Mark{{Name: MainAudience}}
	for _, a := range s.Audiences {
		marks = append(marks, Mark{show.Clean(a.Name), placeAt(a.Distance, a.Bearing)})
	}
	return marks
}

// slant is the distance to what is height metres above a place that is ground
// metres away.
func slant(ground, height float64) float64 { return math.Hypot(ground, height) }

// Between is the distance in metres of two places, each given by distance and
// bearing as in show.toml.
func Between(metres1, bearing1, metres2, bearing2 float64) float64 {
	return placeAt(metres1, bearing1).To(placeAt(metres2, bearing2))
}
