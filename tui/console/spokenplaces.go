package console

import (
	"fmt"
	"strings"
	"time"

	"drylane/show/reentry"
	"drylane/show/timebase"
	"drylane/show/words"
)

// A placeTold is what has been said of the places to start again from.
type placeTold struct {
	listed  bool      // the list was, and not only that it is being worked out
	count   int       // of its places
	line    string    // said last of the chosen place
	pressed time.Time // when a key last changed what is chosen
}

// listNow is the list as it was worked out for what is chosen now; nil until it is.
func (p *Spoken) listNow() *placeList {
	l, h := p.places.latest.Load(), &p.hand.places
	if l == nil || l.of.runUp != h.runUpNow() || h.typed != "" && l.of.hand != h.typedAt(p.Plan) || l.of.heard != p.snap.Transport.Heard() {
		return nil
	}
	return l
}

// placesLines tell the list: the chosen place in full, and then every place in a line.
func (p *Spoken) placesLines() []string {
	l := p.listNow()
	if p.placed = (placeTold{listed: l != nil}); l == nil {
		return []string{"START AGAIN FROM WHERE? It is being worked out."}
	}
	line := p.placeLine(l)
	p.placed.line, p.placed.count = line, len(l.list)
	lines := []string{"START AGAIN FROM WHERE? " + words.Count(len(l.list), "place"), line, p.placeKeys()}
	for _, place := range l.list {
		lines = append(lines, timebase.ClockMillis(place.At)+": "+place.Why)
	}
	if !l.of.known {
		lines = append(lines, "Still listening for changes of the music")
	}
	return lines
}

// placeKeys are the keys of the list.
func (p *Spoken) placeKeys() string {
	k := p.keyName
	hand := k(actEarlier) + " and " + k(actLater)
	if p.typesTimes() {
		hand = "type it, or " + hand
	}
	return fmt.Sprintf("%s and %s choose. Run-up: %s and %s. A time by hand: %s. %s ARMS from there, %s then starts, esc goes back.",
		k(actLaneUp), k(actLaneDown), k(actZoomIn), k(actZoomOut), hand, k(actArm), k(actGo))
}

// placeLine is the chosen place in full: first what a start would tear in two.
func (p *Spoken) placeLine(l *placeList) string {
	h, place := &p.hand.places, l.hand
	if h.typed == "" {
		i := h.chosen(l.list, p.heard().At(p.Plan.Rate))
		if i < 0 {
			return "NO PLACE: nothing is left to fire"
		}
		place = &l.list[i]
	}
	if place == nil {
		return noSuchPlace
	}
	var parts []string
	if place.Torn != "" {
		parts = append(parts, "STARTS INSIDE "+place.Torn)
	}
	head := "From " + timebase.ClockMillis(place.At) + ", " + place.Why
	if place.Fires > 0 {
		head += fmt.Sprintf(": first cue in %.1f s", place.First.At(p.Plan.Rate).Seconds())
	}
	parts = append(parts, head, words.Count(place.Fires, "cue")+" to fire")
	if n := len(place.Skipped); n > 0 {
		verb := "stay"
		if n == 1 {
			verb = "stays"
		}
		parts = append(parts, fmt.Sprintf("%d %s loaded, treat as live: %s", n, verb, reentry.Named(place.Skipped, p.planID)))
	}
	if len(place.Codes) > 0 {
		parts = append(parts, "Timecode there "+strings.Join(place.Codes, ", "))
	}
	return strings.Join(parts, ". ")
}

const noSuchPlace = "NO SUCH PLACE in the music: type m:ss.mmm"

// placeAnswer is what is said to a key of the list. What has to be worked out first is
// said by placeNews.
func (p *Spoken) placeAnswer(key pressed) []string {
	h, told := &p.hand.places, &p.placed
	switch {
	case key.act == actArm && h.typed == "": // and it did not
		return []string{"NOT ARMED: no place is chosen yet"}
	case key.act == actArm:
		return []string{"NOT ARMED. " + noSuchPlace}
	}
	told.pressed = p.Now()
	l := p.listNow()
	if placeSteps[placeAct(key)] != 0 && l != nil {
		told.line = p.placeLine(l)
		return []string{told.line}
	}
	switch a := placeAct(key); {
	case a == actZoomIn, a == actZoomOut:
		return []string{fmt.Sprintf("Run-up %d s", int(h.runUpNow().Seconds()))}
	case byHandSteps[a] != 0: // a key held down is said once
		return nil
	case a == actGo && l != nil:
		return []string{p.placeLine(l), p.placeKeys()}
	case h.typed != "":
		return []string{"By hand " + h.typed}
	}
	return nil
}

// placeNews says what has come of the list, and of the chosen place once it rests.
func (p *Spoken) placeNews() []string {
	l, told := p.listNow(), &p.placed
	switch {
	case p.mode != placeMode || l == nil || p.now.Sub(told.pressed) < nudgeRests:
		return nil
	case !told.listed:
		return p.placesLines()
	}
	var lines []string
	if n := len(l.list); n != told.count {
		told.count = n
		lines = append(lines, "The list has "+words.Count(n, "place")+" now")
	}
	if line := p.placeLine(l); line != told.line {
		told.line = line
		lines = append(lines, line)
	}
	return lines
}
