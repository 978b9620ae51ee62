package ready

import (
	"slices"
	"testing"

	"drylane/show"

	"pgregory.net/rapid"
)

func asks(who ...string) []show.Ask {
	var list []show.Ask
	for _, w := range who {
		list = append(list, show.Ask{Who: w, What: "ready?", Keeps: w == "Sound"})
	}
	return list
}

// An evening's answers, one after the other: what each comes to, whose turn it was, and
// how the list stands then.
func TestAnswers(t *testing.T) {
	l := New(asks("Field", "Spotter", "Sound"))
	for i, c := range []struct {
		deed  Deed
		upset Upset
		turn  string
		wrong string
		count string
	}{
		{deed: Deed{Who: "Field", Answer: show.AnswerGo}, count: "go 1 of 3"},
		{deed: Deed{Who: "Field", Answer: show.AnswerGo}, wrong: "Field is go already", count: "go 1 of 3"},
		{deed: Deed{Who: "Sound", Answer: show.AnswerGo}, turn: "Spotter", count: "go 2 of 3"},
		{deed: Deed{Who: "Spotter"}, wrong: "Spotter has not answered", count: "go 2 of 3"},
		{deed: Deed{Who: "Spotter", Answer: show.AnswerNoGo, Reason: "wind"}, count: "go 2 of 3, no-go: Spotter"},
		{upset: SomebodyIn, count: "go 1 of 3, no-go: Spotter"}, // Sound keeps
		{deed: Deed{Who: "Spotter", Answer: show.AnswerGo}, turn: "Field", count: "go 2 of 3"},
		{deed: Deed{Who: "Field", Answer: show.AnswerGo}, count: "go 3 of 3"},
		{deed: Deed{Who: "Sound"}, count: "go 2 of 3"},
		{deed: Deed{Who: "Field", Answer: show.AnswerGo, Reason: "x"}, wrong: "Field is go already", count: "go 2 of 3"},
		{upset: MadeSafe, count: "go 0 of 3"},
		{deed: Deed{Who: "Nobody", Answer: show.AnswerGo}, wrong: `nobody on the list is called "Nobody"`, count: "go 0 of 3"},
	} {
		if c.upset != NoUpset {
			l.Upset(c.upset)
		} else {
			turn, err := l.Give(c.deed)
			if said := errText(err); said != c.wrong || turn != c.turn {
				t.Errorf("%d: turn %q, %q; want %q, %q", i, turn, said, c.turn, c.wrong)
			}
		}
		if got := l.Count(); got != c.count {
			t.Errorf("%d: %s, want %s", i, got, c.count)
		}
	}
	if l.Lines()[0].Upset != MadeSafe || l.Lines()[2].Upset != NoUpset {
		t.Errorf("%+v", l.Lines())
	}
}

func errText(err error) string {
	if err == nil {
		return ""
	}
	return err.Error()
}

// Names are found whatever their case, in quotes or not, the longer before the shorter.
func TestFind(t *testing.T) {
	l := New(asks("Spotter", "Spotter two", "Sound"))
	for text, want := range map[string]struct {
		i    int
		rest string
	}{
		"Spotter wind": {0, "wind"}, `"Spotter" two of them`: {0, "two of them"}, "spotter TWO wind": {1, "wind"},
		"Spotters": {-1, ""}, "Sound": {2, ""}, `"sound`: {2, ""}, "": {-1, ""}, `"`: {-1, ""},
	} {
		if i, rest, ok := l.Find(text); i != want.i || rest != want.rest || ok != (want.i >= 0) {
			t.Errorf("%s: %d, %q, %v; want %d, %q", text, i, rest, ok, want.i, want.rest)
		}
	}
}

// Whatever is answered, and whatever makes it old: all are go only if each has said go
// since it was last upset and has not said otherwise, and a copy stays as it was.
func TestNobodyIsGoUnasked(t *testing.T) {
	who := []string{"Field", "Spotter", "Sound"}
	rapid.Check(t, func(t *rapid.T) {
		l := New(asks(who...))
		last := map[string]show.Answer{}
		for range rapid.IntRange(1, 30).Draw(t, "deeds") {
			was, count := *l, l.Count()
			switch name := rapid.SampledFrom(append(slices.Clone(who), "walk", "cut")).Draw(t, "who"); name {
			case "walk":
				l.Upset(SomebodyIn)
				for _, w := range who[:2] {
					if last[w] == show.AnswerGo {
						delete(last, w)
					}
				}
			case "cut":
				l.Upset(MadeSafe)
				for _, w := range who {
					if last[w] == show.AnswerGo {
						delete(last, w)
					}
				}
			default:
				a := rapid.SampledFrom([]show.Answer{show.NoAnswer, show.AnswerGo, show.AnswerNoGo}).Draw(t, "answer")
				if _, err := l.Give(Deed{Who: name, Answer: a}); err == nil {
					last[name] = a
				}
			}
			if was.Count() != count {
				t.Fatalf("a copy went from %s to %s", count, was.Count())
			}
			all := true
			for i, w := range who {
				all = all && last[w] == show.AnswerGo
				if l.Lines()[i].Answer != last[w] {
					t.Fatalf("%s is %q, and last said %q", w, l.Lines()[i].Answer, last[w])
				}
			}
			if all != (l.Next() < 0) {
				t.Fatalf("next is %d with %v", l.Next(), last)
			}
		}
	})
}

// The common list asks about the board only where there is one; an operator's own list
// stands alone.
func TestOfShow(t *testing.T) {
	s := &show.Show{}
	if n, m := len(OfShow(s, false)), len(OfShow(s, true)); n != 7 || m != 8 {
		t.Errorf("%d and %d are asked", n, m)
	}
	s.Ready = asks("Fire watch")
	if got := OfShow(s, true); len(got) != 1 || got[0].Who != "Fire watch" {
		t.Errorf("%+v", got)
	}
}

func FuzzFind(f *testing.F) {
	l := New(asks("Spotter", "Spotter two", "Poste de secours été"))
	f.Add("Spotter two wind")
	f.Add(`"Poste de secours ÉTÉ" x`)
	f.Fuzz(func(t *testing.T, text string) {
		i, rest, ok := l.Find(text)
		if ok != (i >= 0) || len(rest) > len(text) {
			t.Errorf("%q: %d, %q, %v", text, i, rest, ok)
		}
	})
}
