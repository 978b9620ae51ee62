package session

import (
	"encoding/json"
	"regexp"
	"strconv"
	"strings"
	"time"

	"drylane/show"
	"drylane/show/timebase"
)

// Format 1 did not say who asked for something, and what the program did by
// itself stood in the log as notes and reasons, in sentences. They are known
// here, and nowhere else, by their words.

// silence1 is what format 1 calls the output that plays nothing.
const silence1 = "silence"

// An entry1 is an entry of format 1 as it lies in the file.
type entry1 struct {
	Entry
	Data data1 `json:"data"`
}

// A data1 is what an entry of format 1 says otherwise than today's.
type data1 struct {
	Data
	By   string `json:"by"`   // the kind of a group
	Hand bool   `json:"hand"` // a drill's step was the instructor's
}

// read1 reads a line of format 1 as today's format has it. rate is that of the
// soundtrack.
func read1(line []byte, rate int) (Entry, error) {
	var old entry1
	if err := json.Unmarshal(line, &old); err != nil {
		return Entry{}, err
	}
	e := old.Entry
	e.Data = old.Data.Data
	e.Data.GroupBy = old.Data.By
	switch e.Kind {
	case show.EventHeld.String(), show.EventCut.String():
		e.reason1()
	case KindDrill:
		e.By = show.ByEngine
		if old.Data.Hand {
			e.By = show.ByInstructor
		}
	case KindOutput:
		e.Data.Silent = e.Data.Output == silence1
	case KindNote:
		e.note1(rate)
	}
	return e, nil
}

// deviceGone1 begins what format 1 says of a lost device.
const deviceGone1 = "the sound device went away"

// reason1 finds the cause of a hold or cut in its reason.
func (e *Entry) reason1() {
	d := &e.Data
	e.By = show.ByEngine
	switch {
	case strings.HasPrefix(d.Reason, deviceGone1):
		d.Cause = show.CauseDeviceLost
	case strings.HasPrefix(d.Reason, "the music ended early"):
		d.Cause = show.CauseMusicEnded
	case d.Reason == show.CauseDrillOver.Sentence(0, 0):
		d.Cause = show.CauseDrillOver
	case d.Reason == show.CauseSuspended.Sentence(0, 0):
		e.By, d.Cause = show.ByNobody, show.CauseSuspended
	default:
		e.By = show.ByNobody
		return
	}
	d.Reason = ""
}

// notes1 are the notes that the program wrote, and what they told. The text of a
// match is in the expression's groups.
var notes1 = []struct {
	text *regexp.Regexp
	tell func(e *Entry, part []string, rate int)
}{
	{regexp.MustCompile(`(?s)^` + deviceGone1 + `(?:: )?(.*)$`), func(e *Entry, part []string, _ int) {
		e.Kind, e.Data = KindDevice, Data{Error: part[1]}
	}},
	{regexp.MustCompile(`^listening to (?:the music|(.+), not the music,) from ([\d:.]+)$`), func(e *Entry, part []string, rate int) {
		e.Kind, e.Data = KindListening, Data{Track: part[1]}
		if at, err := show.ParseTime(part[2]); err == nil {
			f := int64(timebase.FrameAt(at, rate))
			e.Data.At = &f
		}
	}},
	{regexp.MustCompile(`(?s)^(?:beside the music: )?(.+) is silent: (it cannot be read)$`), silent1},
	{regexp.MustCompile(`(?s)^(.+\.(?i:wav|flac|mp3|ogg)) is silent: (.*)$`), silent1},
	{second1(`(.+) is lost: (.*)`), func(e *Entry, part []string, _ int) {
		e.second(Data{Track: part[1], Did: SecondLost, Error: strings.TrimPrefix(strings.TrimPrefix(part[2], deviceGone1), ": ")})
	}},
	{second1(`(.+) is back on (.+)`), func(e *Entry, part []string, _ int) {
		e.second(Data{Track: part[1], Did: SecondBack, Output: part[2]})
	}},
	{second1(`(.+) needs (\S+) more than the music to begin, .*`), func(e *Entry, part []string, _ int) {
		wait, _ := time.ParseDuration(part[2])
		e.second(Data{Track: part[1], Did: SecondSlow, WaitNS: int64(wait)})
	}},
	{second1(`(.+) went on for (\d+) frames after the hold, .*`), func(e *Entry, part []string, _ int) {
		e.second(Data{Track: part[1], Did: SecondOverran, Frames: whole(part[2])})
	}},
	{second1(`(.+) stopped (\d+) frames before the hold, .*`), func(e *Entry, part []string, _ int) {
		e.second(Data{Track: part[1], Did: SecondShort, Frames: whole(part[2])})
	}},
	{second1(`(.+) was ([\d.]+) ms (early|late) and has been put right`), func(e *Entry, part []string, _ int) {
		ms, _ := strconv.ParseFloat(part[2], 64)
		early := int64(ms * float64(time.Millisecond))
		if part[3] == "late" {
			early = -early
		}
		e.second(Data{Track: part[1], Did: SecondMended, EarlyNS: early})
	}},
	{second1(`(.+?) on (.+)`), func(e *Entry, part []string, _ int) {
		e.second(Data{Track: part[1], Did: SecondPlays, Output: part[2]})
	}},
}

// second1 is the expression of a note on the second output.
func second1(text string) *regexp.Regexp {
	return regexp.MustCompile(`(?s)^beside the music: ` + text + `$`)
}

func silent1(e *Entry, part []string, _ int) {
	e.Kind, e.Data = KindSilent, Data{Track: part[1], Error: part[2]}
}

func (e *Entry) second(d Data) { e.Kind, e.Data = KindSecond, d }

// whole is the number that digits stand for; 0 if it is too large.
func whole(digits string) int64 {
	n, _ := strconv.ParseInt(digits, 10, 64)
	return n
}

// note1 takes a note for what it is when the program wrote it.
func (e *Entry) note1(rate int) {
	for _, n := range notes1 {
		if part := n.text.FindStringSubmatch(e.Data.Text); part != nil {
			n.tell(e, part, rate)
			return
		}
	}
}
