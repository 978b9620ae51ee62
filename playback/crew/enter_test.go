package crew

import (
	"testing"
	"time"

	"drylane/playback/deck"
	"drylane/show"
	"drylane/show/makesafe"
)

// TestEnter: what every role is told of going into the field, in each state.
func TestEnter(t *testing.T) {
	const m = time.Minute
	w := Welcome{Rate: rate, Length: 2 * m}
	for name, c := range map[string]struct {
		view View
		want string
	}{
		"not armed yet":              {View{State: State{State: "safe"}}, ""},
		"running":                    {View{State: State{State: "running", Heard: 9}}, ""},
		"held":                       {View{State: State{State: "held", Hold: 1}}, "HELD IS NOT SAFE TO ENTER"},
		"held, and nobody is waited": {View{State: State{State: "held", Hold: 1, Waits: nil, Wait: m}}, "HELD IS NOT SAFE TO ENTER"},
		"cut":                        {View{Welcome: w, State: State{State: "safe", Made: true, Heard: 9, Wait: 15 * m}, Silent: 1500 * time.Millisecond}, "CUT: NOBODY GOES IN for 14:59"},
		"cut while armed":            {View{Welcome: w, State: State{State: "safe", Made: true, Wait: 15 * m}}, "CUT: NOBODY GOES IN for 15:00"},
		"the wait is over":           {View{Welcome: w, State: State{State: "safe", Made: true, Heard: 9}}, "CUT: NOBODY GOES IN before the shooter says so"},
		"no rule":                    {View{Welcome: w, State: State{State: "safe", Heard: 9}}, "CUT: NOBODY GOES IN before the shooter says so"},
		"made safe at the end":       {View{Welcome: w, State: State{State: "safe", Made: true, Heard: 120 * rate, Wait: m}}, "NOBODY GOES IN for 1:00"},
		"lost":                       {View{Welcome: w, Lost: true, State: State{State: "safe", Made: true, Wait: m}}, ""},
		"over":                       {View{Welcome: w, Over: true, State: State{State: "held"}}, ""},
	} {
		if got := c.view.Enter(); got != c.want {
			t.Errorf("%s: %q; wanted %q", name, got, c.want)
		}
	}
}

// TestWaitOf: the lead tells what is left of the waiting time once the show was made safe,
// and of none while it may start.
func TestWaitOf(t *testing.T) {
	book := makesafe.New(15 * time.Minute)
	book.Safe(epoch)
	cut := show.NewTransport(testPlan(testCues()))
	armed := *cut
	if _, err := armed.Do(show.Command{Action: show.Arm, By: show.ByShooter}, 0, nil); err != nil {
		t.Fatal(err)
	}
	now := epoch.Add(2 * time.Second)
	for name, c := range map[string]struct {
		snap deck.Snapshot
		left time.Duration
		made bool
	}{
		"made safe":      {deck.Snapshot{Transport: *cut, Safe: &deck.SafeNow{Book: *book, Since: epoch}}, 898 * time.Second, true},
		"armed again":    {deck.Snapshot{Transport: armed, Safe: &deck.SafeNow{Book: *book, Since: epoch}}, 0, false},
		"not armed yet":  {deck.Snapshot{Transport: *cut, Safe: &deck.SafeNow{Book: *makesafe.New(time.Minute)}}, 0, false},
		"without a rule": {deck.Snapshot{Transport: *cut}, 0, false},
	} {
		if left, made := waitOf(&c.snap, now); left != c.left || made != c.made {
			t.Errorf("%s: %v, %v; wanted %v, %v", name, left, made, c.left, c.made)
		}
	}
}
