package session

import (
	"bytes"
	"encoding/json"
	"os"
	"reflect"
	"strings"
	"testing"
	"time"

	"drylane/show"
)

// format1 is a log of format 1 as drylane wrote it: a drill with a lost device,
// companions, an instructor and a second run in which the music breaks off.
func format1(t testing.TB) *Log {
	t.Helper()
	text, err := os.ReadFile("testdata/format1.jsonl")
	if err != nil {
		t.Fatal(err)
	}
	log, err := Read(bytes.NewReader(text))
	if err != nil {
		t.Fatal(err)
	}
	return log
}

// TestFormat1: what format 1 told in sentences is read as facts. The numbers
// are those of the fixture's entries; what is not listed is a cue's, or the same
// in both formats.
func TestFormat1(t *testing.T) {
	log := format1(t)
	if !log.Header.Silent {
		t.Error("the output was silence, and the header does not say so")
	}
	at := func(f int64) *int64 { return &f }
	for n, want := range map[int]Entry{
		1:  {Kind: KindSecond, Data: Data{Track: "calls.wav", Did: SecondPlays, Output: "tape"}},
		2:  {Kind: KindNote, Data: Data{Text: "dew on the racks"}},
		4:  {Kind: "stood down", Data: Data{GroupBy: "position", Name: "Quay"}},
		10: {Kind: "nudged", Data: Data{NudgeMS: at(200)}},
		12: {Kind: KindListening, Data: Data{Track: "code.wav", At: at(62_400)}},
		13: {Kind: KindNote, Data: Data{Text: "gust of wind"}},
		15: {By: show.ByEngine, Kind: KindDrill, Data: Data{Step: "boat", Do: "radio", From: "spotter", Text: "Boat inside the line. Hold.", Wants: "hold"}},
		16: {Kind: "held", Data: Data{Reason: "boat"}},
		18: {Kind: KindListening, Data: Data{At: at(118_080)}},
		21: {By: show.ByInstructor, Kind: KindDrill, Data: Data{Step: "no answer", Do: "dead", Wants: "stand down", GroupBy: "position", Name: "Quay"}},
		22: {By: show.ByInstructor, Kind: KindDrill, Data: Data{Do: "music off"}},
		24: {Kind: KindSecond, Data: Data{Track: "calls.wav", Did: SecondLost, Error: "cable pulled"}},
		28: {Kind: KindDevice, Data: Data{Error: "the server closed the connection"}},
		29: {By: show.ByEngine, Kind: "held", Data: Data{Cause: show.CauseDeviceLost}},
		30: {Kind: KindRefused, Data: Data{Text: "cannot resume: no sound server answers; connect it and try again, or go on silent"}},
		31: {Kind: KindOutput, Data: Data{Output: "tape"}},
		35: {Kind: "held", Data: Data{Cause: show.CauseSuspended}},
		42: {By: show.ByEngine, Kind: "cut", Data: Data{Cause: show.CauseDrillOver}},
		45: {By: show.ByEngine, Kind: "held", Data: Data{Cause: show.CauseMusicEnded}},
		47: {Kind: "cut", Data: Data{Reason: "no music"}},
	} {
		got := log.Entries[n-1]
		if got.By != want.By || got.Kind != want.Kind || !reflect.DeepEqual(got.Data, want.Data) {
			t.Errorf("entry %d:\n got %s %s %+v\nwant %s %s %+v", n, got.By, got.Kind, got.Data, want.By, want.Kind, want.Data)
		}
	}
	if agreed, err := Replay(log); err != nil || agreed != 10 {
		t.Errorf("%d events agreed, %v; want all 10", agreed, err)
	}
}

// TestNotes1: every sentence that format 1 knew, read as facts and said again.
// What a person noted stays a note.
func TestNotes1(t *testing.T) {
	at := int64(12_340 * 48)
	for text, want := range map[string]struct {
		kind string
		data Data
		says string // where it is not said as it was
	}{
		"the sound device went away: it has asked for no sound for a second":                             {KindDevice, Data{Error: "it has asked for no sound for a second"}, "it has asked for no sound for a second"},
		"listening to the music from 0:12.340":                                                           {KindListening, Data{At: &at}, ""},
		"listening to calls.wav, not the music, from 0:12.340":                                           {KindListening, Data{Track: "calls.wav", At: &at}, ""},
		"calls.wav is silent: calls.wav: no such file":                                                   {KindSilent, Data{Track: "calls.wav", Error: "calls.wav: no such file"}, ""},
		"beside the music: calls.wav is silent: it cannot be read":                                       {KindSilent, Data{Track: "calls.wav", Error: "it cannot be read"}, "calls.wav is silent: it cannot be read"},
		"beside the music: music on PulseAudio, Booth on the left":                                       {KindSecond, Data{Track: "music", Did: SecondPlays, Output: "PulseAudio, Booth on the left"}, "music on PulseAudio, Booth on the left"},
		"beside the music: calls.wav is back on silence":                                                 {KindSecond, Data{Track: "calls.wav", Did: SecondBack, Output: "silence"}, "calls.wav is back on silence"},
		"beside the music: calls.wav is lost: the sound device went away":                                {KindSecond, Data{Track: "calls.wav", Did: SecondLost}, "calls.wav is lost, the music goes on"},
		"beside the music: calls.wav is lost: disk full":                                                 {KindSecond, Data{Track: "calls.wav", Did: SecondLost, Error: "disk full"}, "calls.wav is lost, the music goes on: disk full"},
		"beside the music: calls.wav needs 1.234s more than the music to begin, and follows as it can":   {KindSecond, Data{Track: "calls.wav", Did: SecondSlow, WaitNS: int64(1234 * time.Millisecond)}, "calls.wav needs 1.234s more than the music to begin, and follows as it can"},
		"beside the music: calls.wav went on for 3900 frames after the hold, and begins again with them": {KindSecond, Data{Track: "calls.wav", Did: SecondOverran, Frames: 3900}, "calls.wav went on for 3900 frames after the hold, and begins again with them"},
		"beside the music: calls.wav stopped 12 frames before the hold, and goes on after them":          {KindSecond, Data{Track: "calls.wav", Did: SecondShort, Frames: 12}, "calls.wav stopped 12 frames before the hold, and goes on after them"},
		"beside the music: calls.wav was 3.0 ms early and has been put right":                            {KindSecond, Data{Track: "calls.wav", Did: SecondMended, EarlyNS: int64(3 * time.Millisecond)}, "calls.wav was 3.0 ms early and has been put right"},
		"beside the music: calls.wav was 41.5 ms late and has been put right":                            {KindSecond, Data{Track: "calls.wav", Did: SecondMended, EarlyNS: -int64(41500 * time.Microsecond)}, "calls.wav was 41.5 ms late and has been put right"},
		"listening to the wind":                      {KindNote, Data{Text: "listening to the wind"}, ""},
		"Quay is silent: radio dead":                 {KindNote, Data{Text: "Quay is silent: radio dead"}, ""},
		"beside the racks: grass fire":               {KindNote, Data{Text: "beside the racks: grass fire"}, ""},
		"we lost it: the sound device went away":     {KindNote, Data{Text: "we lost it: the sound device went away"}, ""},
		"calls.wav was 3.0 ms early, says the booth": {KindNote, Data{Text: "calls.wav was 3.0 ms early, says the booth"}, ""},
	} {
		line, err := json.Marshal(map[string]any{"n": 1, "kind": "note", "data": map[string]string{"text": text}})
		if err != nil {
			t.Fatal(err)
		}
		got, err := read1(line, 48_000)
		if err != nil || got.Kind != want.kind || !reflect.DeepEqual(got.Data, want.data) {
			t.Errorf("%q:\n got %s %+v, %v\nwant %s %+v", text, got.Kind, got.Data, err, want.kind, want.data)
		}
		says := want.says
		if says == "" {
			says = text
		}
		if s := got.Words(48_000, 480_000); s != says {
			t.Errorf("%q is said as %q", text, s)
		}
	}
}

// TestHoldWords: why a run was held, by every cause.
func TestHoldWords(t *testing.T) {
	for cause, want := range map[show.Cause]string{
		show.NoCause:           "smoke",
		show.CauseDeviceLost:   "the sound device went away",
		show.CauseDeviceFailed: "the sound output failed",
		show.CauseMusicEnded:   "the music ended early, at 0:02.500 of 0:10.000",
		show.CauseDrillOver:    "the drill is over",
		show.CauseSuspended:    "the terminal was suspended",
		"a later\x1b one":      "a later one",
	} {
		e := Entry{Kind: "held", Heard: 120_000, Data: Data{Cause: cause, Reason: "smoke"}}
		if got := e.Words(48_000, 480_000); got != want {
			t.Errorf("%q: %q, want %q", cause, got, want)
		}
	}
}

// TestWritesFacts: an entry comes back as it was written, who asked included.
func TestWritesFacts(t *testing.T) {
	var file bytes.Buffer
	w, err := NewWriter(&file, nil, Header{Soundtrack: Soundtrack{Rate: 48_000}, Silent: true})
	if err != nil {
		t.Fatal(err)
	}
	at := int64(4711)
	entries := []Entry{
		{By: show.ByEngine, Kind: "held", Data: Data{Cause: show.CauseMusicEnded}},
		{By: show.ByScript, Kind: KindRefused, Data: Data{Asked: "arm", Text: "no"}},
		{By: show.ByShooter, Kind: KindListening, Data: Data{Track: "calls.wav", At: &at}},
		{Kind: KindSecond, Data: Data{Track: "calls.wav", Did: SecondMended, EarlyNS: -5}},
		{By: show.ByInstructor, Kind: KindDrill, Data: Data{Do: "dead", GroupBy: "position", Name: "Quay"}},
		{By: show.ByEngine, Kind: KindOutput, Data: Data{Output: "silence", Silent: true}},
	}
	if _, err := w.Append(entries...); err != nil {
		t.Fatal(err)
	}
	if !strings.Contains(file.String(), `"by":"engine","kind":"held","data":{"cause":"music ended early"}`) {
		t.Errorf("the file does not say who held, and why:\n%s", &file)
	}
	log, err := Read(&file)
	if err != nil || !log.Header.Silent || !reflect.DeepEqual(log.Entries, entries) {
		t.Errorf("read back %+v, %v", log, err)
	}
}
