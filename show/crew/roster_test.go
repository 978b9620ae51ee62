package crew

import (
	"fmt"
	"slices"
	"strings"
	"testing"
	"time"

	"drylane/show/words"

	"pgregory.net/rapid"
)

const sec = time.Second

// whats are what happened, in words.
func whats(events []Event) string {
	var s []string
	for _, e := range events {
		s = append(s, e.Member.Name+" "+string(e.What))
	}
	return strings.Join(s, ", ")
}

// a crew of three: safety, a position, a listener.
func three(t *testing.T) *Roster {
	t.Helper()
	r := new(Roster)
	for _, m := range []struct {
		id, name string
		role     Role
	}{{"a", "Ada", Role{Kind: Safety}}, {"b", "Ben", Role{Position, "Beacon"}}, {"c", "Cyd", Role{Kind: Listener}}} {
		if _, err := r.Join(m.id, m.name, m.role, 0); err != nil {
			t.Fatal(err)
		}
	}
	return r
}

func TestJoin(t *testing.T) {
	r := three(t)
	for _, c := range []struct {
		id, name string
		role     Role
		want     string // what happened, or a part of why not
	}{
		{"d", "ada", Role{Kind: Spotter}, "Ada is in the crew already, as safety"},
		{"d", "Shooter", Role{Kind: Spotter}, "stands for somebody else"},
		{"d", "\u200b", Role{Kind: Spotter}, "found no name"},
		{"d", strings.Repeat("n", 25), Role{Kind: Spotter}, "25 characters"},
		{"b", "Ben", Role{Position, "Beacon"}, ""}, // comes back: nothing new
		{"b", "Bob", Role{Position, "Beacon"}, "Bob renamed"},
		{"b", "Ada", Role{Position, "Beacon"}, "already"},
		{"b", "Bob", Role{Kind: Spotter}, "Bob changed role"},
		{"d", "Ben", Role{Kind: Listener}, "Ben joined"}, // the name is free again
	} {
		events, err := r.Join(c.id, c.name, c.role, sec)
		got := whats(events)
		if err != nil {
			got = err.Error()
		}
		if c.want == "" && got != "" || !strings.Contains(got, c.want) {
			t.Errorf("%s as %s: %q; wanted %q", c.name, c.role, got, c.want)
		}
	}
	for i := range MaxMembers {
		r.Join(fmt.Sprint("x", i), fmt.Sprint("X", i), Role{Kind: Listener}, 0)
	}
	if n := len(r.Members()); n != MaxMembers {
		t.Errorf("%d members; wanted no more than %d", n, MaxMembers)
	}
}

// A machine that had to be started anew comes back under its person's name once the one
// that is lost has been struck off, and the old one does not come in again.
func TestStartedAnew(t *testing.T) {
	r := three(t)
	for _, id := range []string{"a", "c"} {
		r.HeardOf(id, 0, 0, 5*sec)
	}
	r.Look(5 * sec)
	if _, err := r.Join("b2", "ben", Role{Position, "Beacon"}, 5*sec); err == nil ||
		err.Error() != "Ben is in the crew already, as Beacon, and lost; wanted another name, or the shooter to strike Ben off first" {
		t.Errorf("while lost: %v", err)
	}
	r.StrikeOff("Ada") // who is there: her name stays hers
	if _, err := r.Join("a2", "Ada", Role{Kind: Safety}, 5*sec); err == nil {
		t.Error("somebody took the name of one who is there")
	}
	r.StrikeOff("Ben")
	events, err := r.Join("b2", "Ben", Role{Position, "Beacon"}, 6*sec)
	if err != nil || whats(events) != "Ben left, Ben joined" || r.Of("b") != nil || len(r.Members()) != 3 || r.Of("b2").Struck {
		t.Errorf("struck off: %s, %v, %d members", whats(events), err, len(r.Members()))
	}
	if _, err := r.Join("b", "Ben", Role{Position, "Beacon"}, 7*sec); err == nil {
		t.Error("both are in under one name")
	}
}

func TestLostAndBack(t *testing.T) {
	r := three(t)
	r.HeardOf("a", 0, 3*time.Millisecond, sec)
	if got := whats(r.Look(LostAfter)); got != "" {
		t.Errorf("lost too early: %s", got)
	}
	if got := whats(r.Look(LostAfter + 1)); got != "Ben lost, Cyd lost" {
		t.Errorf("lost: %q", got)
	}
	if got := whats(r.Look(LostAfter + 2)); got != "" {
		t.Errorf("lost twice: %s", got)
	}
	events, err := r.HeardOf("b", 0, 0, 5*sec)
	if err != nil || whats(events) != "Ben back" || events[0].After != 5*sec {
		t.Errorf("back: %+v, %v; wanted Ben after 5 s", events, err)
	}
	if got := namesOf(r.Lost()); got != "Cyd" {
		t.Errorf("still lost: %s", got)
	}
}

func TestAcknowledge(t *testing.T) {
	r := three(t)
	if n := r.Called(10 * sec); n != 1 || namesOf(r.Waiting()) != "Ada, Ben and Cyd" {
		t.Fatalf("hold %d waits for %s", n, namesOf(r.Waiting()))
	}
	r.Join("d", "Dot", Role{Kind: Spotter}, 11*sec) // to whom it was not called
	if n := r.Called(12 * sec); n != 1 {
		t.Errorf("one hold counts as %d", n)
	}
	events, _ := r.Acknowledge("b", 1, 11500*time.Millisecond)
	if whats(events) != "Ben acknowledged" || events[0].After != 1500*time.Millisecond {
		t.Errorf("%+v; wanted Ben after 1.5 s", events)
	}
	if again, _ := r.Acknowledge("b", 1, 12*sec); len(again) > 0 {
		t.Errorf("twice: %s", whats(again))
	}
	for _, n := range []int{0, 2, -1} {
		if wrong, _ := r.Acknowledge("a", n, 12*sec); len(wrong) > 0 {
			t.Errorf("hold %d: %s", n, whats(wrong))
		}
	}
	r.HeardOf("a", 1, 0, 12*sec)
	for name, want := range map[string]Answer{"Ada": Awaited, "Ben": Answered, "Cyd": NotTold, "Dot": NoHold} {
		i := slices.IndexFunc(r.Members(), func(m Member) bool { return m.Name == name })
		if got := r.AnswerOf(r.Members()[i]); got != want {
			t.Errorf("%s: answer %d; wanted %d", name, got, want)
		}
	}
	if _, err := r.StrikeOff("cyd"); err != nil || namesOf(r.Waiting()) != "Ada" {
		t.Errorf("waits for %s, %v; wanted Ada", namesOf(r.Waiting()), err)
	}
	if _, err := r.StrikeOff("Eve"); err == nil {
		t.Error("somebody who is not there was struck off")
	}
	r.Over()
	if late, _ := r.Acknowledge("a", 1, 13*sec); len(late) > 0 || r.Hold() != 0 {
		t.Errorf("after the hold: %s", whats(late))
	}
	if n := r.Called(20 * sec); n != 2 {
		t.Errorf("the next hold is %d", n)
	}
	if late, _ := r.Acknowledge("a", 1, 21*sec); len(late) > 0 {
		t.Errorf("an answer to hold 1 counts for hold 2: %s", whats(late))
	}
}

func TestRefuse(t *testing.T) {
	r := three(t)
	if _, err := r.Refuse("b", "no", 0); err == nil || r.Forbids() != "" {
		t.Errorf("a position refused a resume: %q", r.Forbids())
	}
	if events, _ := r.Refuse("a", "boat\nin the \x1b[31mline", 0); whats(events) != "Ada refuses a resume" {
		t.Errorf("%s", whats(events))
	}
	if got := r.Forbids(); got != "safety Ada refuses it: boat in the [31mline" {
		t.Errorf("%q", got)
	}
	r.Look(time.Hour)
	if r.Forbids() == "" {
		t.Error("a refusal ended because the one who gave it was lost")
	}
	r.Leave("a", time.Hour)
	if r.Forbids() == "" {
		t.Error("a refusal ended because the one who gave it left")
	}
	if _, err := r.StrikeOff("Ada"); err != nil || r.Forbids() != "" {
		t.Errorf("struck off, and still %q, %v", r.Forbids(), err)
	}
}

func TestStrangers(t *testing.T) {
	r := three(t)
	r.Leave("c", 0)
	for _, id := range []string{"", "x", "c"} {
		if _, err := r.SetReady(id, true, 0); err == nil {
			t.Errorf("%q is ready", id)
		}
		if _, err := r.HeardOf(id, 0, 0, 0); err == nil {
			t.Errorf("%q was heard of", id)
		}
	}
	if _, err := r.SetReady("b", true, 0); err != nil {
		t.Error(err)
	}
	if events, _ := r.Rename("b", "Bob", 0); whats(events) != "Bob renamed" || events[0].Was != "Ben" {
		t.Errorf("%+v", events)
	}
}

// TestRosterProperties: whatever machines do, names stay unique, nobody waits who has
// answered or was struck off, and an event never tells of somebody unknown.
func TestRosterProperties(t *testing.T) {
	ids, names := []string{"a", "b", "c", "d"}, []string{"Ada", "ada", "Ben", "Cyd ", "", "lead"}
	rapid.Check(t, func(t *rapid.T) {
		r, at := new(Roster), time.Duration(0)
		id := func() string { return rapid.SampledFrom(ids).Draw(t, "id") }
		name := func() string { return rapid.SampledFrom(names).Draw(t, "name") }
		answered := map[string]int{}
		for range rapid.IntRange(1, 60).Draw(t, "steps") {
			at += time.Duration(rapid.IntRange(0, 1500).Draw(t, "pause")) * time.Millisecond
			var events []Event
			switch rapid.IntRange(0, 9).Draw(t, "deed") {
			case 0, 1:
				kind := rapid.SampledFrom(Kinds()).Draw(t, "kind")
				events, _ = r.Join(id(), name(), Role{Kind: kind}, at)
			case 2:
				events, _ = r.Leave(id(), at)
			case 3:
				events, _ = r.Rename(id(), name(), at)
			case 4:
				r.Called(at)
			case 5:
				r.Over()
			case 6:
				events, _ = r.Acknowledge(id(), rapid.IntRange(0, 5).Draw(t, "hold"), at)
			case 7:
				events, _ = r.StrikeOff(name())
			case 8:
				events, _ = r.Refuse(id(), "no", at)
			case 9:
				events = r.Look(at)
			}
			for _, e := range events {
				if e.Member.ID == "" || e.Member.Name == "" {
					t.Fatalf("an event of nobody: %+v", e)
				}
				if e.What == HasAnswered {
					answered[e.Member.ID] = e.Hold
				}
			}
			seen := map[string]bool{}
			for _, m := range r.Members() {
				if key := strings.ToLower(m.Name); !m.Gone && seen[key] {
					t.Fatalf("two are called %s", m.Name)
				} else if !m.Gone {
					seen[key] = true
				}
			}
			for _, m := range r.Waiting() {
				if m.Struck || m.Gone || r.Hold() == 0 {
					t.Fatalf("%+v is awaited in hold %d", m, r.Hold())
				}
			}
		}
	})
}

// namesOf are members' names in words.
func namesOf(list []Member) string {
	var names []string
	for _, m := range list {
		names = append(names, m.Name)
	}
	return words.List(names)
}
