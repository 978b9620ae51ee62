package words

import "strings"

// An Own is a word that drylane gives a meaning of its own, or that a newcomer to the
// trade meets here first.
type Own struct{ Word, Means string }

// Owned are those words, as help and the README explain them. What is done on the
// night is common practice, no source; the operator in charge decides.
var Owned = []Own{
	{"witness", "an early tone in the soundtrack with one small cue on it: heard and seen together, music and firing work; if either is missing, hold or cut"},
	{"heard", "what is audible now; it is the clock of the run, and the now-line is where it is drawn"},
	{"lane", "one row of the view: a position, a module or a kind of effect"},
	{"nudge", "a shift of the cue list against the music, EARLIER or LATER, in tenths of a second; the music is never touched"},
	{"guard", "the last moment before a cue is lit, 0.15 s if the show does not say: within it the cue is committed"},
	{"committed", "too near for a nudge to move it; at a hold it may be on its way to the field already: treat it as live"},
	{"tap", "a key pressed at the moment an accent is heard: from taps comes how late or early the cues are"},
	{"drift", "what grows with time; what stays the same is late or early"},
	{"stand down", "to take a position out of the run: its cues are skipped and stay loaded; bring back is the way back"},
	{"skipped", "came due while stood down, was not fired, and is still loaded in the field"},
	{"still up", "lit, and by the list not yet broken or burnt out; unknown without a burn time. Only the spotter sees what is up"},
	{"hold", "music and cues stop together. Held is not safe to enter: the next cue is one key away"},
	{"follow", "the music is played elsewhere, and its timecode, or the music as a microphone hears it, drives the run: its player starts, holds and resumes; a hold here stops the cues alone"},
	{"carry", "how long a run that follows goes on without hearing its timecode, 0.2 s if the show does not say; then it is a hold"},
	{"go / no-go", "who is asked before the arming, and in which order. A no-go stands until who said it says go; a go is asked for again once somebody was in the field, or the show was made safe"},
	{"make safe", "cut, wait, and have it confirmed: only then may anybody enter the field; then the field reports ready, and the show is armed again, from the top or from a place in the music"},
	{"left out", "passed over by a start from a place in the music: not fired, and still loaded in the field"},
	{"run-up", "the music that plays alone before the place from which a show goes on"},
	{"nobody said", "commanded, and nobody saw or heard what it did: it is searched for like the rest"},
}

// OwnTable is the table of the words in Markdown.
func OwnTable() string {
	var b strings.Builder
	b.WriteString("| word | what it means |\n| --- | --- |\n")
	for _, w := range Owned {
		b.WriteString("| " + w.Word + " | " + w.Means + " |\n")
	}
	return b.String()
}
