package makesafe

import (
	"testing"
	"time"

	"pgregory.net/rapid"
)

var epoch = time.Date(2030, 6, 1, 21, 0, 0, 0, time.UTC)

func at(s int) time.Time { return epoch.Add(time.Duration(s) * time.Second) }

// The waiting time counts from the last cut, and who goes in early is written down so.
func TestWait(t *testing.T) {
	b := New(time.Minute)
	if b.Left(at(0)) != 0 {
		t.Error("nothing was armed, and there is something to wait for")
	}
	if err := b.Enter("Ada", at(1)); err != nil {
		t.Fatal(err)
	}
	if err := b.Enter("ADA", at(2)); err == nil || err.Error() != "ADA is in the field already" {
		t.Errorf("got %v", err)
	}
	if err := b.Back("ada", at(5)); err != nil {
		t.Fatal(err)
	}
	if err := b.Back("Ada", at(6)); err == nil || err.Error() != "Ada is not in the field" {
		t.Errorf("got %v", err)
	}
	b.Safe(at(100))
	if got := b.Left(at(130)); got != 30*time.Second {
		t.Errorf("%v left", got)
	}
	if err := b.Enter(" ", at(130)); err == nil {
		t.Error("somebody without a name went in")
	}
	b.Enter("Ben", at(130))
	b.Enter("Ada", at(161))
	if v := b.Visits(); len(v) != 3 || v[0].Left != 0 || v[1].Left != 30*time.Second || v[2].Left != 0 || !v[0].Back.Equal(at(5)) {
		t.Errorf("%+v", v)
	}
	if in := b.In(); len(in) != 2 || in[0].Name != "Ben" {
		t.Errorf("%+v", in)
	}
}

// Whoever goes in and comes back: each is in until they are back, once at a time, and a
// copy stays as it was.
func TestEverybodyIsCounted(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		b, in := New(time.Minute), map[string]bool{}
		for i := range rapid.IntRange(1, 40).Draw(t, "deeds") {
			was, n := *b, len(b.In())
			name := rapid.SampledFrom([]string{"Ada", "Ben", "Cem"}).Draw(t, "name")
			if rapid.Bool().Draw(t, "enter") {
				if err := b.Enter(name, at(i)); (err == nil) == in[name] {
					t.Fatalf("%s: %v, and in the field before: %v", name, err, in[name])
				}
				in[name] = true
			} else {
				if err := b.Back(name, at(i)); (err == nil) != in[name] {
					t.Fatalf("%s: %v, and in the field before: %v", name, err, in[name])
				}
				delete(in, name)
			}
			if len(b.In()) != len(in) || len(was.In()) != n {
				t.Fatalf("%d are in, want %d; the copy has %d, want %d", len(b.In()), len(in), len(was.In()), n)
			}
		}
	})
}
