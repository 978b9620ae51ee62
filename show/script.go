package show

import (
	"bufio"
	"errors"
	"fmt"
	"io"
	"strings"
	"time"
)

// A ScriptStep is one line of a rehearsal script: something to do, and when.
type ScriptStep struct {
	Line int
	// At is the moment in the music, when Wait is negative. Otherwise the
	// step comes Wait after the step before it, by the wall clock: the only
	// clock there is while the music does not run.
	At, Wait time.Duration
	Do       ScriptAction
}

// A ScriptAction is a command for the transport, or one of the things a
// shooter does that do not change the run.
type ScriptAction struct {
	Kind    ScriptKind
	Command Command // KindCommand
	Late    bool    // KindCall: the shooter calls "late" rather than "early"
	Text    string  // KindNote; KindMark: a device and what is wrong with it; KindRepair: a device; KindStrike: a member
	All     bool    // KindTick: all lines that are left
	Saw     Saw     // KindSaw: what is said of the cue in Text, or of Command.Group, a position
	Answer  Answer  // KindAnswer: of whom Text begins with, or for a go with no Text of who answers next
}

// A ScriptKind tells what a ScriptAction is.
type ScriptKind uint8

// The kinds of script action.
const (
	KindCommand ScriptKind = iota
	KindTap                // the shooter taps on an accent
	KindCall               // the shooter judges by ear: early or late
	KindNote               // a remark for the log
	KindSilent             // goes on without the sound device
	KindTick               // ticks the next line of the hold checklist
	KindMark               // names what is wrong with a device of the field board
	KindRepair             // sends somebody to put a device right
	KindSaw                // says what somebody saw or heard of a cue, or of a position
	KindAnswer             // an answer on the go / no-go list
	KindEnter              // somebody, whom Text names, goes into the field; Command.Anyway: however much of the waiting time is left
	KindBack               // ... and is out of it again
	KindStrike             // takes a member of the crew off the list of those who are awaited
	// The kinds below are a shooter's at the keys, and no part of the language.
	KindGo   // what comes next: start when armed, resume when held, reset when ended, else nothing
	KindStay // what is held stays so: ends a count-in, and does nothing when none runs
)

// ScriptHelp describes the script language for help texts.
const ScriptHelp = `A script has one step a line: when, then what. Lines that start with # are remarks.

  when   83.250 or 1:23.250   that much of the music has been heard
         +4.0                 four seconds after the step before, by the wall clock
                              (the way to wait before the start and during a hold)
  what   arm, start, hold [REASON], resume [anyway], cut [REASON], reset
         tick [all]                       the next line of the hold checklist, or all
         re-enter TIME [run-up SECONDS]   after a cut: a start will begin there, with the
                                          music alone for the run-up before it
         nudge earlier|later SECONDS      in tenths
                                          start, resume and nudge take "anyway" behind
                                          them: however many cues come due at once
         stand down position|module|effect NAME
         bring back position|module|effect NAME
         tap                              on an accent, as the shooter would
         call early|late                  a judgement by ear
         silent                           go on without a lost sound device
         mark DEVICE FAULT                on the field board; "ok" takes a mark back
         repair DEVICE                    somebody goes out and puts it right
         seen CUE                         somebody at the console saw or heard it
         did-not-go CUE                   ... or says that it did not go; "unsaid CUE" takes
                                          either back; "position NAME" in place of a cue:
                                          of all that was commanded there by then
         go [WHO]                         an answer before the arming: of who is asked next,
                                          or of whom it names; "withdraw WHO" takes it off
         no-go WHO [REASON]               ... with the reason
         enter NAME                       somebody goes into the field while it is safe;
         back NAME                        and is out of it again
                                          arm, re-enter and enter take "anyway" too: without
                                          every go, or before the waiting time is over
         strike off NAME                  with a crew: a member who is lost or does not
                                          answer is not awaited any more
         note TEXT
`

// ParseScript reads a rehearsal script; name is used in errors, which come as
// Problems, all of them at once.
func ParseScript(name string, r io.Reader) ([]ScriptStep, error) {
	return ReadSteps(name, r, func(line int, text string) (ScriptStep, error) {
		step, err := parseStep(text)
		step.Line = line
		return step, err
	})
}

// ReadSteps reads a script of one step a line; blank lines and those that begin with #
// are none. The error of parse says what was wanted. Errors come as Problems, all of them
// at once, under the name.
func ReadSteps[S any](name string, r io.Reader, parse func(line int, text string) (S, error)) ([]S, error) {
	var (
		steps    []S
		problems Problems
	)
	sc := bufio.NewScanner(r)
	sc.Buffer(nil, maxScriptLine)
	for line := 1; sc.Scan(); line++ {
		text := strings.TrimSpace(strings.TrimPrefix(sc.Text(), "\ufeff"))
		if text == "" || strings.HasPrefix(text, "#") {
			continue
		}
		step, err := parse(line, text)
		if err != nil {
			problems = append(problems, Problem{Severity: SeverityStop, Code: CodeSyntax, File: name, Line: line, Column: 1, Found: Quote(text), Wanted: err.Error()})
			continue
		}
		steps = append(steps, step)
	}
	if err := sc.Err(); err != nil {
		if errors.Is(err, bufio.ErrTooLong) {
			err = fmt.Errorf("a line of more than %d characters", maxScriptLine)
		}
		problems = append(problems, Problem{Severity: SeverityStop, Code: CodeFile, File: name, Found: err.Error(), Wanted: "lines of text"})
	}
	if len(problems) > 0 {
		return nil, problems
	}
	return steps, nil
}

const maxScriptLine = 4096

func parseStep(text string) (ScriptStep, error) {
	when, what, _ := strings.Cut(text, " ")
	s := ScriptStep{Wait: -1}
	var err error
	if wait, ok := strings.CutPrefix(when, "+"); ok {
		s.Wait, err = ParseTime(wait)
	} else {
		s.At, err = ParseTime(when)
	}
	if err != nil {
		return s, errors.New("a line that starts with a time: seconds of music such as 83.250, or +4.0 to wait")
	}
	s.Do, err = parseAction(strings.Fields(what))
	return s, err
}

// parseAction reads what a step does from its words.
func parseAction(words []string) (ScriptAction, error) {
	words, anyway := cutAnyway(words)
	verb, rest := "", ""
	if len(words) > 0 {
		verb, rest = words[0], strings.Join(words[1:], " ")
	}
	command := func(c Command) (ScriptAction, error) {
		c.Anyway = anyway
		return ScriptAction{Command: c}, nil
	}
	switch verb {
	case "arm", "start", "reset", "tap", "silent": // complete by themselves
		if rest != "" {
			return ScriptAction{}, fmt.Errorf("%q alone, with nothing behind it", verb)
		}
	}
	switch verb {
	case "arm":
		return command(Command{Action: Arm})
	case "start":
		return command(Command{Action: Start})
	case "resume":
		if rest != "" {
			return ScriptAction{}, errors.New(`"resume", or "resume anyway" with something still up or lines unticked`)
		}
		return command(Command{Action: Resume})
	case "tick":
		if rest != "" && rest != "all" {
			return ScriptAction{}, errors.New(`"tick" for the next line of the hold checklist, or "tick all"`)
		}
		return ScriptAction{Kind: KindTick, All: rest != ""}, nil
	case "reset":
		return command(Command{Action: Reset})
	case "hold":
		return command(Command{Action: Hold, Reason: Clean(rest)})
	case "re-enter":
		c, err := parseReentry(words[1:])
		if err != nil {
			return ScriptAction{}, err
		}
		return command(c)
	case "cut":
		return command(Command{Action: Cut, Reason: Clean(rest)})
	case "nudge":
		c, err := parseNudge(words[1:])
		if err != nil {
			return ScriptAction{}, err
		}
		return command(c)
	case "stand", "bring":
		return parseGroup(words)
	case "tap":
		return ScriptAction{Kind: KindTap}, nil
	case "silent":
		return ScriptAction{Kind: KindSilent}, nil
	case "call":
		if rest != "early" && rest != "late" {
			return ScriptAction{}, errors.New(`"call early" or "call late"`)
		}
		return ScriptAction{Kind: KindCall, Late: rest == "late"}, nil
	case "note":
		return ScriptAction{Kind: KindNote, Text: Clean(rest)}, nil
	case "mark", "repair":
		return parseBoard(verb, words[1:])
	case "strike":
		name, ok := strings.CutPrefix(rest, "off ")
		if !ok {
			return ScriptAction{}, errors.New(`"strike off NAME", such as "strike off Ada"`)
		}
		return ScriptAction{Kind: KindStrike, Text: Clean(name)}, nil
	case "seen", "did-not-go", "unsaid":
		return parseSaying(verb, words[1:])
	case "go", "no-go", "withdraw", "enter", "back":
		return parseReady(verb, Clean(rest), anyway)
	}
	return ScriptAction{}, errors.New("one of: arm, start, hold, tick, resume, nudge, stand down, bring back, tap, call, silent, note, mark, repair, seen, did-not-go, unsaid, go, no-go, withdraw, enter, back, strike off, cut, re-enter, reset")
}

// parseBoard reads a step at the field board, which alone knows its devices.
func parseBoard(verb string, words []string) (ScriptAction, error) {
	text := Clean(strings.Join(words, " "))
	switch {
	case verb == "repair" && len(words) > 0:
		return ScriptAction{Kind: KindRepair, Text: text}, nil
	case verb == "repair":
		return ScriptAction{}, errors.New(`"repair DEVICE", such as "repair M1"`)
	case len(words) < 2:
		return ScriptAction{}, errors.New(`"mark DEVICE FAULT", such as "mark M1 missing", or "mark M1 ok"`)
	}
	return ScriptAction{Kind: KindMark, Text: text}, nil
}

// parseSaying reads what somebody says of a cue or a position.
func parseSaying(verb string, words []string) (ScriptAction, error) {
	a := ScriptAction{Kind: KindSaw, Saw: map[string]Saw{"seen": SeenOrHeard, "did-not-go": DidNotGo}[verb]}
	switch name := strings.Join(words, " "); {
	case name == "" || name == LanesByPosition:
		return ScriptAction{}, fmt.Errorf(`"%s CUE" or "%s position NAME"`, verb, verb)
	case words[0] == LanesByPosition:
		a.Command.Group = Group{LanesByPosition, strings.Join(words[1:], " ")}
	default:
		a.Text = name
	}
	return a, nil
}

// parseReady reads an answer before the arming, or who goes into the field or is back.
// The list alone knows who is on it.
func parseReady(verb, text string, anyway bool) (ScriptAction, error) {
	a := ScriptAction{Kind: KindAnswer, Text: text}
	switch verb {
	case "go":
		a.Answer = AnswerGo
		return a, nil
	case "no-go":
		a.Answer = AnswerNoGo
	case "enter":
		a.Kind, a.Command.Anyway = KindEnter, anyway
	case "back":
		a.Kind = KindBack
	}
	if text == "" {
		return ScriptAction{}, fmt.Errorf(`"%s NAME"`, verb)
	}
	return a, nil
}

// cutAnyway takes the last word off what can be done all the same if it is "anyway".
func cutAnyway(words []string) (rest []string, anyway bool) {
	last := len(words) - 1
	if last < 1 || words[last] != "anyway" {
		return words, false
	}
	switch words[0] {
	case "start", "resume", "nudge", "arm", "re-enter", "enter":
		return words[:last], true
	}
	return words, false
}

func parseNudge(words []string) (Command, error) {
	want := errors.New(`"nudge earlier 0.3" or "nudge later 0.3", in tenths of a second, 20 s at most`)
	if len(words) != 2 || words[0] != "earlier" && words[0] != "later" {
		return Command{}, want
	}
	d, err := ParseTime(words[1])
	if err != nil || d == 0 || d%(100*time.Millisecond) != 0 || d > 2*DefaultNudgeLimit {
		return Command{}, want
	}
	if words[0] == "later" {
		d = -d
	}
	return Command{Action: Nudge, Step: d}, nil
}

// parseReentry reads a place and, if there is one, the run-up to it.
func parseReentry(words []string) (Command, error) {
	want := errors.New(`"re-enter 1:05.000" or "re-enter 1:05.000 run-up 4"`)
	if len(words) != 1 && (len(words) != 3 || words[1] != "run-up") {
		return Command{}, want
	}
	c := Command{Action: Reenter}
	var err error
	if c.From, err = ParseTime(words[0]); err != nil {
		return Command{}, want
	}
	if len(words) == 3 {
		if c.RunUp, err = ParseTime(words[2]); err != nil {
			return Command{}, want
		}
	}
	return c, nil
}

func parseGroup(words []string) (ScriptAction, error) {
	pair := map[string]string{"stand": "down", "bring": "back"}[words[0]]
	if len(words) < 4 || words[1] != pair {
		return ScriptAction{}, fmt.Errorf(`"%s %s position NAME" (or module, or effect)`, words[0], pair)
	}
	by := words[2]
	if by != LanesByPosition && by != LanesByModule && by != LanesByFamily {
		return ScriptAction{}, fmt.Errorf(`"%s %s position NAME" (or module, or effect), not %q`, words[0], pair, Clean(by))
	}
	c := Command{Action: StandDown, Group: Group{by, strings.Join(words[3:], " ")}}
	if words[0] == "bring" {
		c.Action = BringBack
	}
	return ScriptAction{Command: c}, nil
}
