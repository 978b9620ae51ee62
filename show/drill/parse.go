package drill

import (
	"fmt"
	"io"
	"path"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"drylane/show"
)

// Limits of a drill's file, which keep slips of the pen out.
const (
	maxFile     = 256 << 10 // bytes
	maxLevel    = 4
	maxLate     = show.DefaultNudgeLimit // what a nudge can undo; with Grow also in a minute
	maxWait     = time.Hour
	leastChance = 0.01 // a rarer thing never comes
	maxMeasure  = 3600
	maxWeight   = 100
	maxScore    = 100
	maxSeed     = 1 << 53 // what every reader of JSON keeps exactly
)

// Parse reads a drill's file, in the language that FormatHelp describes. name
// is the file's: messages have it, and the drill's Name is its last part without
// .toml. The error is a show.Problems with all that was found in one go.
func Parse(name string, r io.Reader) (*Drill, error) {
	var source strings.Builder
	top, err := show.ReadTOML(name, io.TeeReader(r, &source), maxFile)
	if err != nil {
		return nil, err
	}
	d := &Drill{
		Name:     strings.TrimSuffix(path.Base(filepath.ToSlash(name)), ".toml"),
		Title:    top.Text("title"),
		Level:    top.Whole("level", 1, maxLevel),
		Show:     top.Text("show"),
		Until:    top.Clock("until"),
		Briefing: top.Lines("briefing"),
		Good:     top.Lines("good"),
		Why:      top.Lines("why"),
		Source:   source.String(),
	}
	top.Need("title", `title = "One position late"`)
	top.Need("level", "level = 1")
	top.Need("show", `show = "demo"`)
	top.Need("briefing", `briefing = "..."`)
	top.Need("measure", `[[measure]]: what the run is scored by`)
	for _, t := range top.List("mend") {
		d.Mends = append(d.Mends, readMend(t))
	}
	for _, t := range top.List("plant") {
		d.Plants = append(d.Plants, readPlant(t))
	}
	d.Ready = show.ReadReady(top.List("ready"))
	steps := top.List("step")
	for _, t := range steps {
		d.Steps = append(d.Steps, readStep(t))
	}
	checkSteps(d, steps)
	checkAnswers(d, steps)
	d.Board = readBoards(top.List("board"))
	d.Crew = show.ReadCrew(top)
	if top.Has("safe_wait") {
		wait := top.Clock("safe_wait")
		d.Wait = &wait
	}
	measures := top.List("measure")
	for _, t := range measures {
		d.Measures = append(d.Measures, readMeasure(t, d))
	}
	checkMeasures(d, measures)
	names := map[string]bool{}
	for _, t := range top.List("example") {
		d.Examples = append(d.Examples, readExample(t, names))
	}
	top.Done()
	if ps := top.Problems(); len(ps) > 0 {
		return nil, ps
	}
	return d, nil
}

// readMend reads one [[mend]].
func readMend(t *show.Table) Mend {
	defer t.Done()
	m := Mend{Position: t.Text("position"), Line: t.Line()}
	late := t.Seconds("late", maxLate)
	t.Need("late", "late = 0.3")
	switch {
	case len(late) > 1:
		t.Note(show.CodeValue, "late", "a list", "one number of seconds: how late they are in the list")
	case len(late) == 1:
		m.Late = late[0]
	}
	return m
}

// readPlant reads one [[plant]].
func readPlant(t *show.Table) Plant {
	defer t.Done()
	p := Plant{
		Position: t.Text("position"),
		Late:     t.Seconds("late", maxLate),
		Grow:     t.Seconds("grow", maxLate),
		Chance:   t.Number("chance", leastChance, 1, 1),
		Line:     t.Line(),
	}
	if !t.Has("grow") {
		t.Need("late", "late = 0.3, or grow = 0.4 (seconds a minute)")
	}
	return p
}

// texts turns the values of an enumeration into the texts that a file has.
func texts[T ~string](values []T) []string {
	list := make([]string, len(values))
	for i, v := range values {
		list[i] = string(v)
	}
	return list
}

// word reads one of the texts of an enumeration, empty when it is absent or
// none of them.
func word[T ~string](t *show.Table, key string, all []T) T {
	s := t.Text(key)
	if s != "" && !slices.Contains(texts(all), s) {
		t.Note(show.CodeValue, key, show.Quote(s), "one of "+strings.Join(texts(all), ", ")+show.DidYouMean(s, texts(all)))
		return ""
	}
	return T(s)
}

// readMeasure reads one [[measure]] of d, whose steps have been read.
func readMeasure(t *show.Table, d *Drill) Measure {
	defer t.Done()
	m := Measure{
		Kind:   word(t, "what", kinds),
		Step:   t.Text("step"),
		Good:   t.Number("good", 0, maxMeasure, 0),
		Weight: t.Number("weight", leastChance, maxWeight, 1),
		Line:   t.Line(),
	}
	m.Pass = t.Number("pass", 0, maxMeasure, m.Good)
	t.Need("what", `what = "time to hold"`)
	t.Need("good", "good = 3")
	if m.Pass < m.Good {
		t.Note(show.CodeRange, "pass", fmt.Sprintf("%g", m.Pass), fmt.Sprintf("%g, what is good, or more", m.Good))
	}
	answers, needs := answersOf[m.Kind]
	switch i := slices.IndexFunc(d.Steps, func(s Step) bool { return s.Name == m.Step }); {
	case m.Kind == "":
	case boardMeasures[m.Kind] != nil && len(d.Board) == 0:
		t.Note(show.CodeValue, "what", show.Quote(string(m.Kind)), `a [[board]] that it can look at`)
	case !needs && m.Step != "":
		t.Note(show.CodeValue, "step", show.Quote(m.Step), fmt.Sprintf("no step: %s counts over the whole run", m.Kind))
	case needs && m.Step == "":
		t.Need("step", `step = "call": `+string(m.Kind)+" counts from a step")
	case needs && i < 0:
		t.Note(show.CodeUnknown, "step", show.Quote(m.Step), "the name of a [[step]]"+show.DidYouMean(m.Step, stepNames(d)))
	case needs && !answers(d.Steps[i]):
		t.Note(show.CodeValue, "step", show.Quote(m.Step), "a step that asks for it: "+askedBy[m.Kind])
	}
	return m
}

// checkMeasures notes what is measured twice.
func checkMeasures(d *Drill, tables []*show.Table) {
	seen := map[Measure]bool{}
	for i, m := range d.Measures {
		key := Measure{Kind: m.Kind, Step: m.Step}
		if seen[key] && m.Kind != "" {
			tables[i].Note(show.CodeDuplicate, "what", show.Quote(string(m.Kind))+" a second time", "each measure of a step once")
		}
		seen[key] = true
	}
}

// readExample reads one [[example]]; names are those before it.
func readExample(t *show.Table, names map[string]bool) Example {
	defer t.Done()
	e := Example{
		Name:   t.Text("name"),
		Seed:   uint64(t.Whole("seed", 0, maxSeed)),
		Script: t.Lines("script"),
		Score:  t.Whole("score", 0, maxScore),
		Says:   t.Lines("says"),
		Line:   t.Line(),
	}
	t.Need("name", `name = "good"`)
	t.Need("script", `script = "+0 arm"`)
	t.Need("score", "score = 100")
	if names[e.Name] {
		t.Note(show.CodeDuplicate, "name", show.Quote(e.Name)+" a second time", "a name of its own")
	}
	names[e.Name] = e.Name != ""
	_, err := show.ParseScript("", strings.NewReader(e.Script))
	problems, _ := err.(show.Problems)
	for _, p := range problems {
		t.Note(p.Code, "script", fmt.Sprintf("%s (line %d of it)", p.Found, p.Line), p.Wanted)
	}
	return e
}
