package crew

import (
	"strings"
	"testing"
	"time"

	"drylane/show"
	"drylane/show/crew"
	"drylane/show/crewclock"
)

// FuzzView: whatever comes from a lead, a member neither breaks nor shows what does
// not belong on a terminal.
func FuzzView(f *testing.F) {
	f.Add("welcome", pack(&Welcome{Version: Version, Title: "Harbour Evening", Name: "Ada", Role: "safety", Rate: 48000}))
	f.Add("state", pack(&State{N: 1, At: 5, State: "running", Heard: 100, Ahead: 200, Speed: 1, Waits: []string{"Ada"}}))
	f.Add("clock", pack(&Tell{1, 2, 3}))
	f.Add("answer", pack(&Answer{Deed: crew.Ready, Refused: "no"}))
	f.Add("crew", pack(&Crew{[]Line{{Name: "Ada", Role: "safety"}}}))
	f.Add("cues", pack(&Cues{Left: 1, List: []Cue{{ID: "1", Position: "Quay"}}}))
	f.Add("events", pack(&Event{}))
	f.Add("drill", pack(&Drill{Now: &Watched{Next: []Cue{{ID: "1"}}, Up: []UpCue{{Cue: "2"}}, Drift: "too few taps"}}))
	f.Add("drill", pack(&Drill{Page: &Page{Planned: Planned{Drill: "One thing", Positions: []string{"Quay"}, Steps: []PlannedStep{{Step: "a"}}, Planted: []string{"b"}}}}))
	f.Add("drill", []byte(`{"page":{"n":-1,"positions":["\u001b[2J"]},"event":{"n":5,"data":{"without":["\u202e"]}}}`))
	f.Add("state", []byte(`{"n":9,"state":"\u001b[2J","heard":-1,"speed":1e308}`))
	f.Fuzz(func(t *testing.T, what string, data []byte) {
		c := crewclock.New()
		v := View{Welcome: Welcome{Rate: rate}}
		for range 2 {
			v.take(what, data, time.Second, c)
		}
		v.Clock, v.Clocked = c.At(time.Second)
		if heard, ok := v.Heard(); ok && heard < 0 {
			t.Errorf("heard %d", heard)
		}
		texts := append([]string{v.Welcome.Title, v.Welcome.Name, v.State.State, v.State.Why, v.Answer.Refused}, v.State.Waits...)
		for _, l := range v.Crew {
			texts = append(texts, l.Name, l.Role, l.Objects)
		}
		for _, c := range v.Cues.List {
			texts = append(texts, c.ID, c.Position, c.Effect)
		}
		for _, e := range v.Events {
			texts = append(texts, e.Words(rate, 0), e.Kind, e.Data.Member, strings.Join(e.Data.Without, ""))
		}
		p, w := v.Planned, v.Watched
		texts = append(texts, p.Drill, w.Drift, w.Score, w.Field, w.Output, w.After, strings.Join(append(p.Positions, p.Planted...), ""))
		for _, s := range p.Steps {
			texts = append(texts, s.Step, s.After, s.What, string(s.Do), string(s.Wants))
		}
		for _, c := range w.Next {
			texts = append(texts, c.ID, c.Position, c.Effect)
		}
		for _, u := range w.Up {
			texts = append(texts, u.Cue, u.Position)
		}
		for _, s := range texts {
			if show.Clean(s) != s {
				t.Errorf("%q is shown", s)
			}
		}
	})
}

// FuzzDeed: whatever comes from a member, the lead neither breaks nor logs a time
// that has not come.
func FuzzDeed(f *testing.F) {
	f.Add("ready", pack(&Deed{At: 5, Bound: 6}))
	f.Add("hello", pack(&Hello{Version: Version, Name: "Eve", Role: "position:Quay"}))
	f.Add("tap", []byte(`{"at":9223372036854775807,"bound":9223372036854775807}`))
	f.Add("did-not-go", pack(&Deed{Cue: "1"}))
	f.Add("fault", pack(&Deed{Do: "dead", By: "position", Of: "Quay"}))
	f.Add("radio", pack(&Deed{From: "Quay", Text: "Stop.", Wants: "hold"}))
	r := newRig(f, aDrill)
	id := newToken()
	for _, k := range crew.Kinds() {
		r.door.known[id+string(k)] = &guest{kind: k}
	}
	f.Fuzz(func(t *testing.T, what string, data []byte) {
		lead := &Lead{calls: map[string]int{}, seats: map[string]seat{}, cfg: r.cfg, began: r.began, door: r.door, conn: r.conn}
		lead.board.Store(&Board{})
		run := newFakeRun(r.cfg.Plan)
		lead.cfg.Run, lead.cfg.Gate = run, run.gate
		run.do(show.Arm)
		run.do(show.Start)
		for _, k := range crew.Kinds() {
			role := crew.Role{Kind: k}
			if k == crew.Position {
				role.Position = "Quay"
			}
			lead.roster.Join(id+string(k), string(k)+" one", role, 0)
			lead.take(message{id + string(k), crew.Deed(what), data, lead.now()})
			lead.callHold(id+string(k), data, time.Now())
		}
		for _, d := range run.log {
			if d.When != nil && d.When.After(time.Now().Add(time.Duration(d.BoundNS))) {
				t.Errorf("something is logged that has not been: %+v", d)
			}
		}
	})
}

func FuzzParseAddress(f *testing.F) {
	f.Add("10.0.0.7:7411/2345-6789-ABCD-EFGH")
	f.Fuzz(func(t *testing.T, s string) {
		a, err := ParseAddress(s)
		if err != nil {
			return
		}
		if again, err := ParseAddress(a.String()); err != nil || again != a {
			t.Errorf("%q is read as %q, and that as %q, %v", s, a, again, err)
		}
	})
}
