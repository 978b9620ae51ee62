package field

import (
	"time"

	"drylane/show"
)

// A Field is what distance does to a show.
type Field struct {
	Title   string
	Celsius float64
	Speed   float64 // of sound, m/s
	// Speakers and Positions are where show.toml says they are; Unplaced are
	// the positions that it gives no distance for.
	Speakers  []Mark
	Positions []Mark
	Unplaced  []string
	// Audiences are the places that people watch from, the main one first.
	Audiences []Audience
	Shift     Shift
	// Separations are the distances of shells from people; Gaps are the effects
	// that the rules of thumb say nothing of.
	Separations []Separation
	Gaps        []Gap
}

// An Audience is what reaches one place. All times are from the moment at which
// music and effect leave where they are made, with no shift of the cues.
type Audience struct {
	Mark
	// Music is when the music is heard: the first loudspeaker's sound to
	// arrive decides, as the ear takes the later ones for its echoes. Speaker
	// names it; it is empty, and Music 0, when show.toml lists no speaker.
	// An effect on the beat is seen at once, so Music is as well how late the
	// music comes after the light.
	Music   time.Duration
	Speaker string
	// Left is how late the music comes after the light with Shift.Seen.
	Left time.Duration
	// Paths are the bangs, one for each of Field.Positions.
	Paths []Path
}

// A Path is the way of the sound from a position to an audience.
type Path struct {
	Position string
	Metres   float64
	// Bang is when one on the ground is heard; High when one from the
	// break of the position's largest shell is, equal to Bang if it fires
	// none. Both come after the light.
	Bang, High time.Duration
	// First and Last are how late the first and the last of the position's bangs,
	// fired at one moment, come after the music, each from the height that it is
	// made at; negative: before. Heard is false, and they are 0, where nothing of
	// the position is heard.
	First, Last time.Duration
	Heard       bool
}

// A Shift is the one shift of all cues that serves the main audience best.
type Shift struct {
	// Seen brings the light to the main audience with the music: how much
	// later the cues have to come. It is the same for every position.
	Seen time.Duration
	// Nudge is Seen to the nearest tenth of a second, as a nudge: positive is
	// earlier. Over is how late the music still comes after the light with it.
	Nudge, Over time.Duration
	// Heard is the middle of what the main audience hears after the music, from
	// the earliest Path.First to the latest Path.Last: how much earlier the cues
	// would have to come for their bangs to fall on the music as closely as one
	// shift can bring them. Spread is how far any bang then is from the music.
	// Both are 0 where nothing is heard. Ear says which cues they were reckoned for.
	Heard, Spread time.Duration
	Ear           Ear
}

// Of works out the field of a show.
func Of(s *show.Show) *Field {
	f := &Field{
		Title: show.Clean(s.Title), Celsius: s.Air.TemperatureC, Speed: SpeedOfSound(s.Air.TemperatureC),
		Separations: Separations(s), Gaps: Gaps(s),
	}
	for _, sp := range s.Speakers {
		f.Speakers = append(f.Speakers, Mark{show.Clean(sp.Name), placeAt(sp.Distance, sp.Bearing)})
	}
	biggest := biggestShells(s)
	ear, heardFrom := earOf(s)
	var heights []float64
	var sources []source
	for _, p := range s.Positions {
		if p.Distance == 0 {
			f.Unplaced = append(f.Unplaced, show.Clean(p.Name))
			continue
		}
		f.Positions = append(f.Positions, Mark{show.Clean(p.Name), placeAt(p.Distance, p.Bearing)})
		heights = append(heights, BreakHeight(biggest[p.Name].Caliber))
		sources = append(sources, heardFrom[p.Name])
	}
	for _, mark := range audiences(s) {
		f.Audiences = append(f.Audiences, f.audience(mark, s.Speakers, heights, sources))
	}
	f.Shift = shiftFor(f.Audiences[0])
	f.Shift.Ear = ear
	for i := range f.Audiences {
		f.Audiences[i].Left = f.Audiences[i].Music - f.Shift.Seen
	}
	return f
}

// audience works out what reaches one place.
func (f *Field) audience(mark Mark, speakers []show.Speaker, heights []float64, sources []source) Audience {
	a := Audience{Mark: mark}
	a.Music, a.Speaker = musicAt(mark, speakers, f.Celsius)
	for i, p := range f.Positions {
		d := mark.To(p.Place)
		path := Path{Position: p.Name, Metres: d, Bang: Travel(d, f.Celsius)}
		path.High = Travel(slant(d, heights[i]), f.Celsius)
		path.hear(sources[i], f.Celsius, a.Music)
		a.Paths = append(a.Paths, path)
	}
	return a
}

// nudgeStep is the step of a nudge.
const nudgeStep = 100 * time.Millisecond

func shiftFor(main Audience) Shift {
	s := Shift{Seen: main.Music}
	s.Nudge, s.Over = nudgeFor(main.Music)
	s.byEar(main.Paths)
	return s
}

// nudgeFor returns the nudge that serves music which comes late after the
// light, and how late it then still is: of the two tenths next to it the one
// with the better grade, then the nearer one, then the one that leaves the sound
// late, as it is in nature.
func nudgeFor(late time.Duration) (nudge, over time.Duration) {
	below := late.Truncate(nudgeStep)
	over, more := late-below, late-below-nudgeStep
	if g, m := Graded(over), Graded(more); m < g || m == g && more.Abs() < over {
		return -below - nudgeStep, more
	}
	return -below, over
}
