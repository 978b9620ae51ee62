package drill

import (
	"fmt"
	"strconv"

	"drylane/show/words"
)

// text writes a value without its unit, such as 2.1.
func (v Value) text() string {
	if v.Endless() {
		return "never"
	}
	return strconv.FormatFloat(float64(v), 'f', -1, 64)
}

// Words writes a value of the measure, such as "2.1 s", "3 cues" or "never".
func (k Kind) Words(v Value) string {
	if v.Endless() {
		return "never"
	}
	switch k.unit() {
	case "s":
		return v.text() + " s"
	case "%":
		return v.text() + " %"
	case "yes":
		if v == 0 {
			return "no"
		}
		return "yes"
	}
	if v == Value(int(v)) {
		return words.Count(int(v), k.unit())
	}
	return v.text()
}

// unit is s for a measure in seconds, yes for one that is 0 or 1, and
// otherwise what it counts.
func (k Kind) unit() string {
	switch k {
	case TimeToHold, TimeToResume, TimeToCut, TimeToStandDown, Residual, TimeToGoOnSilent, TimeToFind:
		return "s"
	case WrongFirstNudge:
		return "yes"
	case CuesAfterCall:
		return "cue"
	case StepsToATenth, NeedlessNudges:
		return "press"
	case WrongStandDowns:
		return "group"
	case FaultsMissed, FaultsMisnamed, FaultsLeft:
		return "fault"
	case FalseMarks:
		return "mark"
	case NeedlessWalks:
		return "walk"
	case CuesLeftOut:
		return "cue"
	case DudsUnmarked:
		return "%"
	case FalseDuds:
		return "dud"
	}
	return "time"
}

// Threshold says what would have been better than grade g: nothing for good.
func (m Measure) Threshold(g Grade) string {
	switch {
	case g == Good || g == LeftOut || g == Cost || m.Kind.unit() == "yes":
		return ""
	case m.Pass > m.Good:
		return fmt.Sprintf("good is %s, pass %s", m.upTo(m.Good), m.upTo(m.Pass))
	}
	return "good is " + m.upTo(m.Good)
}

// GoodWords says which values are good.
func (m Measure) GoodWords() string { return m.upTo(m.Good) }

// PassWords says which values pass.
func (m Measure) PassWords() string { return m.upTo(m.Pass) }

func (m Measure) upTo(most float64) string {
	switch {
	case m.Kind.unit() == "yes":
		return m.Kind.Words(min(1, Value(most)))
	case most == 0 && m.Kind.unit() != "s":
		return "none"
	}
	return "up to " + m.Kind.Words(Value(most))
}

// Definition says exactly what the measure counts.
func (k Kind) Definition() string { return definitions[k] }

var definitions = map[Kind]string{
	TimeToHold: "seconds of wall time from the call to the first hold or cut after it: either stops the show. A show that is held already counts as held at once. " +
		"What comes after the all-clear is no answer, nor is a cut where the briefing forbids it and nobody is in danger.",
	CuesAfterCall: "cues that fired after the call, up to the next hold or cut; up to the all-clear or the end where there was none.",
	TimeToResume: "seconds of wall time to the first resume, from when the call had come, nothing was up by the list of what was lit before the hold, " +
		"and the last line of the checklist was ticked. A show that ran already when the call came was not waiting for it: that counts as never. " +
		"All delays together cost less than one resume with something open.",
	EarlyArms:    "armings before the field had reported ready, since the last cut or the opening. Not to arm at all counts as never.",
	EarlyResumes: "resumes after the call to hold and before the call that its cause was gone. Where no hold answered the call that counts as never.",
	UnclearResumes: "resumes while effects that were lit before the hold were still up by the list, or unknown to it, or while lines of the checklist were not ticked. " +
		"Where a call to hold got no answer that counts as never.",
	TimeToCut: "seconds of wall time from the call to the cut.",
	TimeToStandDown: "seconds of wall time from the call until nothing of what it names was left to fire, " +
		"stood down by its own name or by others.",
	WrongStandDowns: "groups stood down with any cue in them which no call asked to stand down.",
	WrongFirstNudge: "yes when the first press moved the cues away from where they were wanted, when no nudge was wanted, or when none came and one was wanted.",
	StepsToATenth:   "presses from when the nudge was first more than 0.1 s off what was wanted until it first was within that.",
	Residual:        "seconds between the nudge asked for at the end and the one that was wanted there.",
	NeedlessNudges:  "presses at moments where a nudge of less than 0.05 s was wanted.",
	NeedlessHolds: "holds while no call to hold or cut stood: a cost to the show and no fault. However many they are, they cost a tenth of the marks at most, " +
		"and less than a hold that came late. What the console holds by itself does not count.",
	NeedlessCuts:        "cuts while no call to hold or cut stood, where the briefing forbids them; or a run that was left before its end.",
	FaultsMissed:        "faults of the field board that had no mark when the show was first armed. A device that came late and answers by then may be without one.",
	FaultsMisnamed:      "faults of the field board whose mark, when the show was first armed, was another's.",
	FaultsLeft:          "faults of the field board that were still there when the show was first armed.",
	TimeToFind:          "seconds of wall time from the opening of the field board to the first mark on the last of its faults; a fault without a mark counts as never.",
	FalseMarks:          "devices that had a mark when the show was first armed, and nothing wrong with them.",
	NeedlessWalks:       "devices that somebody was sent out to, and nothing wrong with them.",
	ArmsWithSomebodyOut: "how often the arming was asked for while somebody was in the field. It is refused each time.",

	TornReentries: "starts from a place inside a spoken count, inside the burn of an effect that burns for 5 s or more, or inside a chase.",
	CuesLeftOut:   "cues that starts from a place passed over, and that are still loaded at the end.",
	DudsUnmarked:  "percent, of the cues that were commanded and did not go, of which nobody at the console had said so by the end.",
	FalseDuds:     "cues of which somebody at the console said that they did not go, and that went.",

	TimeToGoOnSilent: "seconds of wall time from the loss of the sound device to music that runs again.",
}
