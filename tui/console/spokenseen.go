package console

import (
	"fmt"
	"strings"
)

// seenLines ask what was seen or heard, and say by which keys it is answered.
func (p *Spoken) seenLines() []string {
	k := p.keyName
	if p.hand.said < 0 {
		return []string{p.seenLine()}
	}
	by := fmt.Sprintf("%s marks an answer, %s says it", k(actPanel), k(actGo))
	if p.answersByDigit() {
		by = "A digit says it, or " + by
	}
	lines := []string{"WHAT WAS SEEN OR HEARD?", p.seenLine(),
		fmt.Sprintf("%s. %s and %s: another cue. %s and %s: another lane. esc goes back.", by, k(actCuePrev), k(actCueNext), k(actLaneUp), k(actLaneDown))}
	for n := range 2 * len(saws) {
		lines = append(lines, p.sawLine(n+1))
	}
	return lines
}

// seenLine is the cue that is asked of, and what has been said of it.
func (p *Spoken) seenLine() string {
	i := p.hand.said
	if i < 0 {
		return fmt.Sprintf("Nothing was commanded in this lane yet. %s and %s: another lane. esc goes back.", p.keyName(actLaneUp), p.keyName(actLaneDown))
	}
	cue, said := p.cue(i), p.snap.Said.Of(i).String()
	if by := saidBy(p.snap.Said, i); by != "" {
		said += ", " + by
	}
	return fmt.Sprintf("Cue %s, %s: %s. %s", cue.ID, cue.Position, said, effectText(cue))
}

// sawLine is the answer with that number.
func (p *Spoken) sawLine(n int) string {
	line := saws[(n-1)%len(saws)].String()
	if n > len(saws) {
		line += ", of all at " + p.cue(p.hand.said).Position + " so far"
	}
	return fmt.Sprintf("%d: %s", n, line)
}

// seenAnswer is what is said to a key of the question. An answer is confirmed by the run,
// once it has taken it down.
func (p *Spoken) seenAnswer(key pressed) []string {
	switch key.act {
	case actCuePrev, actCueNext, actLaneUp, actLaneDown:
		return []string{p.seenLine()}
	case actPanel:
		if p.hand.said >= 0 && p.pick > 0 { // else keys behind this one have gone on already
			return []string{p.sawLine(p.pick)}
		}
	case actGo:
		if !key.marked {
			return []string{fmt.Sprintf("No answer is marked: %s marks one", p.keyName(actPanel))}
		}
	}
	return nil
}

// searchLines are the table of the search: the sum, and each position in a line.
func (p *Spoken) searchLines() []string {
	if !p.ran() {
		return []string{"No search: after a run, this tells what was commanded and what is still loaded"}
	}
	rows := p.searchRows()
	lines := []string{"SEARCH. " + rows[len(rows)-1].words()}
	for _, row := range rows[:len(rows)-1] {
		lines = append(lines, row.name+": "+row.words())
	}
	return lines
}

// words are the figures of a row that are not none: first what may still be live.
func (r *searchRow) words() string {
	var parts []string
	for _, is := range []struct {
		n    int
		what string
	}{{r.stillLive, stillLoaded}, {r.dud, "did not go"}, {r.commanded, "commanded"}, {r.seen, "seen or heard"}, {r.nobody, "nobody said"}, {r.skipped, "skipped"}} {
		if is.n > 0 {
			parts = append(parts, fmt.Sprint(is.n, " ", is.what))
		}
	}
	return strings.Join(parts, ", ")
}
