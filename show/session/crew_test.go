package session

import (
	"testing"
	"time"

	"drylane/show"
	"drylane/show/crew"
)

// TestCrewWords: what the log says of the crew, for people.
func TestCrewWords(t *testing.T) {
	at := int64(61500)
	for _, c := range []struct {
		kind string
		d    Data
		want string
	}{
		{KindCrew, Data{Crew: crew.HasJoined, Member: "Ben", Role: "position:Beacon"}, "Ben (Beacon) joined"},
		{KindCrew, Data{Crew: crew.HasRenamed, Member: "Bob", Role: "safety", Was: "Ben"}, "Bob (safety) renamed: was Ben"},
		{KindCrew, Data{Crew: crew.IsLost, Member: "Ben", Role: "position:Beacon"}, "Ben (Beacon) is lost"},
		{KindCrew, Data{Crew: crew.IsBack, Member: "Ben", Role: "listener", AfterNS: int64(4200 * time.Millisecond)}, "Ben (listener) is back after 4.2 s"},
		{KindCrew, Data{Crew: crew.HasAnswered, Member: "Ben", Role: "listener", Hold: 2, AfterNS: int64(time.Second)}, "Ben (listener) acknowledged the hold after 1.0 s"},
		{KindCrew, Data{Crew: crew.HasTapped, Member: "Cyd", Role: "listener", At: &at}, "Cyd (listener) tapped at 1:01.500"},
		{KindCrew, Data{Crew: crew.HasMissed, Member: "Ben", Role: "position:Beacon", Cue: "14"}, "Ben (Beacon): cue 14 did not go"},
		{KindCrew, Data{Crew: crew.HasObjected, Member: "Ada", Role: "safety", Text: "not clear\x1b[2J"}, "Ada (safety) refuses a resume: not clear[2J"},
		{KindCrew, Data{Crew: crew.WrongCode, Text: "from 10.0.0.9, 3 times"}, "a wrong code: from 10.0.0.9, 3 times"},
		{"held", Data{Member: "Ben", Reason: "boat"}, "Ben: boat"},
		{"held", Data{Member: "Ben"}, "Ben called it"},
		{"held", Data{Member: "Ada", Cause: show.CauseCrewLost}, "nothing is heard of Ada"},
	} {
		e := Entry{Kind: c.kind, Data: c.d}
		if got := e.Words(1000, 0); got != c.want {
			t.Errorf("%s %s: %q; wanted %q", c.kind, c.d.Crew, got, c.want)
		}
	}
}
