package drill

import (
	"slices"
	"strings"
	"testing"

	"drylane/show"
)

// TestDeedTable holds the rows against each other: every deed once, every fault
// with one way back that is about the same, and all that reads the table finds
// words.
func TestDeedTable(t *testing.T) {
	seen := map[Deed]bool{}
	ended := map[Deed]int{}
	for _, r := range deedTable {
		if seen[r.do] {
			t.Errorf("%q stands twice", r.do)
		}
		seen[r.do] = true
		if r.ends != "" {
			ended[r.ends]++
			if back := r.ends.row(); back.takes != r.takes || r.menu == "" || back.menu == "" {
				t.Errorf("%q is not the way back from %q: it takes something else, or one is missing in the menu", r.do, r.ends)
			}
		}
		if r.says == "" && r.takes != takesWords {
			t.Errorf("a debrief has no words for %q", r.do)
		}
		for _, text := range []string{r.says, r.told, r.menu} {
			if n := strings.Count(text, "%"); n > 1 || n == 1 && !(takesGroup(&r) && strings.Contains(text, "%s")) {
				t.Errorf("%q: %q", r.do, text)
			}
		}
	}
	for do, n := range ended {
		if !seen[do] || n != 1 {
			t.Errorf("%q is put right by %d deeds", do, n)
		}
	}
	for _, do := range MenuDeeds() {
		if r := do.row(); r.ends == "" && !r.begins() {
			t.Errorf("%q is in the menu and is no fault", do)
		}
	}
}

// TestDeedWords: a deed in the words of a debrief, of the instructor's screen
// and of its menu.
func TestDeedWords(t *testing.T) {
	quay := show.Group{By: show.LanesByPosition, Name: "Quay"}
	for do, want := range map[Deed][3]string{
		MusicOff:   {"the music falls silent", "music off", "the music goes silent"},
		Dead:       {"position Quay stops going off", "position Quay dead", "Quay goes dead: its cues light nothing"},
		Alive:      {"position Quay goes off again", "position Quay alive", "Quay works again"},
		CallsOff:   {"the calls of position Quay fall silent", "calls of position Quay off", "calls of Quay fall silent"},
		DeviceBack: {"the sound device can be had again", "device back", "the sound device can be had again"},
		LateOne:    {"position Quay fires a late one", "position Quay fires a late one", ""},
		Over:       {"the drill is over", "the drill ends", ""},
		"what":     {"what", "what", ""},
	} {
		if got := [3]string{about(do.row().says, "position Quay", "every position"), do.Told(quay), do.Menu("Quay")}; got != want {
			t.Errorf("%q: %q, want %q", do, got, want)
		}
	}
	if got := Dead.Told(show.Group{}) + "; " + Dead.Menu(""); got != "everything dead; everything goes dead: its cues light nothing" {
		t.Errorf("without a group: %q", got)
	}
}

func TestFaults(t *testing.T) {
	quay, mole := show.Group{By: show.LanesByPosition, Name: "Quay"}, show.Group{By: show.LanesByPosition, Name: "Mole"}
	var f Faults
	f.Take(Radio, quay)
	f.Take(MusicOff, quay) // whom it asks to stand down
	f.Take(Dead, quay)
	f.Take(Dead, quay)
	f.Take(Dead, mole)
	before := f
	f.Take(MusicOn, show.Group{})
	f.Take(Alive, mole)
	f.Take(Alive, show.Group{}) // which is not how Quay went
	f.Take(Over, show.Group{})
	if f.Has(MusicOff) || !f.Has(Dead) || !slices.Equal(f.Groups(Dead), []show.Group{quay}) || f.Words() != "Quay dead" {
		t.Errorf("%q: %v", f.Words(), f.Groups(Dead))
	}
	if before.Words() != "music off, Quay dead, Mole dead" {
		t.Errorf("a copy has changed: %q", before.Words())
	}
}
