package drill

import (
	"slices"
	"strings"
	"time"

	"drylane/show"
	"drylane/show/timebase"
)

var (
	wants = []Want{WantHold, WantResume, WantCut, WantStandDown, WantArm, WantNoGo}
	kinds = []Kind{TimeToHold, CuesAfterCall, TimeToResume, EarlyArms, EarlyResumes, UnclearResumes, TimeToCut, TimeToStandDown,
		WrongStandDowns, WrongFirstNudge, StepsToATenth, Residual, NeedlessNudges, NeedlessHolds, NeedlessCuts, TimeToGoOnSilent,
		FaultsMissed, FaultsMisnamed, FaultsLeft, TimeToFind, FalseMarks, NeedlessWalks, ArmsWithSomebodyOut,
		ArmsWithoutGo, GoWithoutWord, TimeToNoGo, EarlyEntries, BackWithoutWord,
		TornReentries, CuesLeftOut, DudsUnmarked, FalseDuds}
)

// Wants are all that a step can ask for.
func Wants() []Want { return wants }

// answersOf are the measures that count from a step, and which steps will do.
var answersOf = map[Kind]func(Step) bool{
	TimeToHold:       func(s Step) bool { return s.Wants == WantHold },
	CuesAfterCall:    func(s Step) bool { return s.stops() },
	TimeToResume:     func(s Step) bool { return s.Wants == WantResume },
	EarlyArms:        func(s Step) bool { return s.Wants == WantArm },
	EarlyResumes:     func(s Step) bool { return s.Wants == WantResume || s.Wants == WantArm },
	TimeToCut:        func(s Step) bool { return s.Wants == WantCut },
	TimeToStandDown:  func(s Step) bool { return s.Wants == WantStandDown },
	TimeToGoOnSilent: func(s Step) bool { return s.Do == DeviceLost },
	TimeToNoGo:       func(s Step) bool { return s.Wants == WantNoGo },
}

// askedBy are answersOf in the words of the file.
var askedBy = map[Kind]string{
	TimeToHold:       `wants = "hold"`,
	CuesAfterCall:    `wants = "hold" or "cut"`,
	TimeToResume:     `wants = "resume"`,
	EarlyArms:        `wants = "arm"`,
	EarlyResumes:     `wants = "resume" or "arm"`,
	TimeToCut:        `wants = "cut"`,
	TimeToStandDown:  `wants = "stand down"`,
	TimeToGoOnSilent: `do = "device lost"`,
	TimeToNoGo:       `wants = "no-go"`,
}

// readStep reads one [[step]]. What it says of other steps is checked later.
func readStep(t *show.Table) Step {
	defer t.Done()
	s := Step{
		Name:   t.Text("name"),
		When:   readTrigger(t),
		Do:     word(t, "do", Deeds()),
		From:   t.Text("from"),
		Text:   t.Text("text"),
		Wants:  word(t, "wants", wants),
		Chance: t.Number("chance", leastChance, 1, 1),
		Line:   t.Line(),
	}
	t.Need("name", `name = "call"`)
	t.Need("do", `do = "radio"`)
	if s.Do.TakesWords() {
		t.Need("from", `from = "Quay"`)
		t.Need("text", `text = "Quay: person in the fallout area."`)
	}
	if !s.Do.TakesWords() && s.Do != "" {
		for _, key := range []string{"from", "text"} {
			if t.Has(key) {
				t.Note(show.CodeValue, key, "a text", "it with do = "+quoted(deedsThat(func(r *deedRow) bool { return r.takes == takesWords }))+" only")
			}
		}
	}
	if s.NoCut = word(t, "forbids", []Want{WantCut}) != ""; s.NoCut && s.Wants != WantHold {
		t.Note(show.CodeValue, "forbids", show.Quote("cut"), `it with wants = "hold" only`)
	}
	readGroup(t, &s)
	return s
}

// readTrigger reads when a step is due.
func readTrigger(t *show.Table) Trigger {
	when := Trigger{After: t.Text("after")}
	if t.Has("at") {
		when.From, when.To = readRange(t, "at")
		if t.Has("after") || t.Has("wait") {
			t.Note(show.CodeValue, "at", "a moment of the music besides after and wait", "the one or the other")
		}
		return when
	}
	if !t.Has("after") {
		t.Need("at", `at = "0:40" (music), or after = "hold" and wait = "12"`)
	}
	if when.From, when.To = readRange(t, "wait"); when.To > maxWait {
		t.Note(show.CodeRange, "wait", timebase.ClockMillis(when.To), "an hour at most")
	}
	return when
}

// readRange reads one time, or two that something lies between; zero when
// there is none.
func readRange(t *show.Table, key string) (from, to time.Duration) {
	times := t.Clocks(key)
	switch {
	case len(times) == 0:
		return 0, 0
	case len(times) > 2:
		t.Note(show.CodeValue, key, "a list of more than two times", `one time, or the first and the last, such as ["0:35", "0:50"]`)
		return 0, 0
	case times[0] > times[len(times)-1]:
		t.Note(show.CodeRange, key, timebase.ClockMillis(times[0])+" before "+timebase.ClockMillis(times[1]), "the earlier time first")
		return 0, 0
	}
	return times[0], times[len(times)-1]
}

// readGroup reads which cues a step is about, where it is about cues.
func readGroup(t *show.Table, s *Step) {
	var keys []string
	var g show.Group
	for _, by := range []string{show.LanesByPosition, show.LanesByModule, show.LanesByFamily} {
		if name := t.Text(by); name != "" {
			keys, g = append(keys, by), show.Group{By: by, Name: name}
		}
	}
	acts, asks := s.Do.TakesGroup(), s.Wants == WantStandDown
	wanted := s.Do.Wants(g)
	switch {
	case len(keys) > 1:
		t.Note(show.CodeValue, keys[1], show.Quote(g.Name)+" besides "+keys[0], "one of position, module and effect")
		return
	case len(keys) == 1 && !acts && !asks:
		t.Note(show.CodeValue, g.By, show.Quote(g.Name), "it where do is "+quoted(deedsThat(takesGroup))+`, or wants is "stand down"`)
		return
	case len(keys) == 0 && wanted != "":
		t.Need(show.LanesByPosition, `position = "Quay": whose it is`)
	case wanted != "":
		t.Note(show.CodeValue, g.By, show.Quote(g.Name), wanted+" for "+show.Quote(string(s.Do)))
		return
	case len(keys) == 0 && asks:
		t.Need(show.LanesByPosition, `position = "Quay": who is to be stood down`)
	}
	if g.By == show.LanesByFamily && !slices.Contains(families(), g.Name) {
		t.Note(show.CodeUnknown, g.By, show.Quote(g.Name), "one of "+strings.Join(families(), ", ")+show.DidYouMean(g.Name, families()))
	}
	if acts {
		s.Group = g
	}
	if asks {
		s.Of = g
	}
}

// quoted lists words of the file, the last two with an or between them.
func quoted[T ~string](values []T) string {
	list := ""
	for i, v := range values {
		switch {
		case i == 0:
		case i == len(values)-1:
			list += " or "
		default:
			list += ", "
		}
		list += show.Quote(string(v))
	}
	return list
}

// families are the names of the effect families.
func families() []string {
	names := make([]string, show.FamilyCount)
	for f := range show.FamilyCount {
		names[f] = f.String()
	}
	return names
}
