package crew

import (
	"strings"
	"testing"
	"unicode/utf8"

	"drylane/show"
)

func TestParseRole(t *testing.T) {
	for _, c := range []struct {
		text string
		want Role
		err  string // a part of it; empty: none
	}{
		{"position:Beacon", Role{Position, "Beacon"}, ""},
		{"position: Pier 2 ", Role{Position, "Pier 2"}, ""},
		{"listener", Role{Kind: Listener}, ""},
		{"safety", Role{Kind: Safety}, ""},
		{"shooter", Role{}, `found the role "shooter"`},
		{"Safety", Role{}, `found the role "Safety"`},
		{"", Role{}, "found the role"},
		{"position", Role{}, "without its name"},
		{"position:\u202e", Role{}, "without its name"},
		{"spotter:Beacon", Role{}, `found the name "Beacon" behind spotter`},
		{"position:" + strings.Repeat("x", 97), Role{}, "97 bytes"},
	} {
		got, err := ParseRole(c.text)
		if got != c.want || (err == nil) != (c.err == "") || err != nil && !strings.Contains(err.Error(), c.err) {
			t.Errorf("%q: %+v, %v; wanted %+v, %q", c.text, got, err, c.want, c.err)
		}
	}
}

func TestNamed(t *testing.T) {
	for _, c := range []struct {
		role, who string
		want      bool
	}{
		{"position:Beacon", "beacon", true}, {"position:Beacon", "Ben", true}, {"position:Beacon", "Position", false}, {"position:Beacon", "Beacon 2", false},
		{"spotter", "Spotter", true}, {"safety", "Safety officer", true}, {"spotter", "Safety officer", false}, {"safety", "", false},
	} {
		r, err := ParseRole(c.role)
		if got := r.Named("Ben", c.who); err != nil || got != c.want {
			t.Errorf("Ben as %s, asked as %q: %v, %v; wanted %v", c.role, c.who, got, err, c.want)
		}
	}
}

func FuzzParseRole(f *testing.F) {
	for _, s := range []string{"position:Beacon", "safety", "position:", "\x00:\xff"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		r, err := ParseRole(s)
		if err != nil {
			if msg := err.Error(); show.Clean(msg) != msg {
				t.Errorf("the error is not clean: %q", msg)
			}
			return
		}
		if again, err := ParseRole(r.String()); err != nil || again != r {
			t.Errorf("%q is read as %+v, and that as %+v, %v", s, r, again, err)
		}
	})
}

func FuzzCleanName(f *testing.F) {
	for _, s := range []string{"Ada", " a  b ", "lead", strings.Repeat("x", 100), "\u202eevil\x1b[2J"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		name, err := CleanName(s)
		if err != nil {
			return
		}
		if name == "" || utf8.RuneCountInString(name) > MaxName || show.Clean(name) != name {
			t.Errorf("%q became %q", s, name)
		}
		if again, err := CleanName(name); err != nil || again != name {
			t.Errorf("%q became %q and then %q, %v", s, name, again, err)
		}
	})
}

// TestMay is the whole table, as the crew has to know it: who may what.
func TestMay(t *testing.T) {
	kinds := []Kind{Shooter, Safety, Spotter, Position, Listener, Trainer}
	table := map[Deed]string{ // a letter for each kind, in that order
		Hold: "*SPOLT", Acknowledge: "*SPOLT", Rename: "*SPOLT", Leave: "*SPOLT", Note: "*SPOLT",
		Ready: "-SPO--", Unready: "-SPO--", StandDown: "*--O--", Withdraw: "---O--", Seen: "-SPO--", Missing: "-SPO--",
		Tap: "----L-", Object: "-S----", Allow: "-S----", Radio: "-----T", Fault: "-----T",
		Resume: "*-----", Nudge: "*-----", StrikeOff: "*-----",
	}
	if len(table) != len(Deeds()) {
		t.Errorf("the table has %d deeds of %d", len(table), len(Deeds()))
	}
	for _, d := range Deeds() {
		for i, k := range kinds {
			if want := table[d][i] != '-'; k.May(d) != want {
				t.Errorf("%s may %s: %v; wanted %v", k, d, k.May(d), want)
			}
		}
	}
	if Kind("").May(Hold) || Kind("guest").May(Hold) {
		t.Error("nobody in particular may call HOLD")
	}
}

// TestSees: a position sees its own cues and not the others', and nobody but the
// trainer what a drill has in store.
func TestSees(t *testing.T) {
	for sight, want := range map[Sight]string{SeesState: "safety spotter position listener trainer", SeesCrew: "safety spotter trainer",
		SeesOwn: "position", SeesAll: "safety spotter trainer", SeesEvents: "safety spotter trainer", SeesDrill: "trainer"} {
		var got []string
		for _, k := range Kinds() {
			if k.Sees(sight) {
				got = append(got, string(k))
			}
		}
		if s := strings.Join(got, " "); s != want {
			t.Errorf("%s is seen by %s; wanted %s", sight, s, want)
		}
	}
}

func TestLostRule(t *testing.T) {
	for _, c := range []struct {
		rule show.LostRule
		want string
	}{
		{show.LostByRole, "safety spotter position"}, {"", "safety spotter position"},
		{show.LostHolds, "safety spotter position listener trainer"}, {show.LostGoesOn, ""},
	} {
		var got []string
		for _, k := range Kinds() {
			if Holds(c.rule, k) {
				got = append(got, string(k))
			}
		}
		if s := strings.Join(got, " "); s != c.want {
			t.Errorf("%q holds for %q; wanted %q", c.rule, s, c.want)
		}
	}
}
