package crew

import (
	"strings"
	"testing"
	"time"

	"drylane/show/crew"
)

// a door whose clock is the test's.
func testDoor(once bool) (*door, *time.Time) {
	now := time.Date(2026, 11, 25, 21, 0, 0, 0, time.UTC)
	return newDoor("secret", once, func() time.Time { return now }), &now
}

func (d *door) try(id, code, secret, from string) bool {
	_, ok := d.admit(id, code+" "+secret, from, 7)
	return ok
}

// TestOnce: a code lets in one machine, which comes back without another.
func TestOnce(t *testing.T) {
	d, _ := testDoor(true)
	code, id, secret := d.list()[crew.Spotter], newToken(), newToken()
	if !d.try(id, strings.ToLower(code), secret, "a") {
		t.Fatal("a good code is not taken")
	}
	if d.try(newToken(), code, newToken(), "a") {
		t.Error("a code was taken twice")
	}
	if !d.try(id, code, secret, "b") {
		t.Error("a machine cannot come back")
	}
	if d.try(id, code, newToken(), "b") {
		t.Error("somebody else came back in its place")
	}
	if next := d.list()[crew.Spotter]; next == code || !d.try(newToken(), next, newToken(), "a") {
		t.Error("there is no code for the next one")
	}
	evening, _ := testDoor(false)
	code = evening.list()[crew.Spotter]
	for range 2 {
		if !evening.try(newToken(), code, newToken(), "a") {
			t.Error("a code for the evening is not taken twice")
		}
	}
}

// TestGuessing: after three wrong codes an address waits, longer each time, and a
// good code is not looked at meanwhile; another address does not wait for it, and nor
// does a machine that is known.
func TestGuessing(t *testing.T) {
	d, now := testDoor(false)
	wrong := 0
	d.wrong = func(string, int) { wrong++ }
	code := d.list()[crew.Position]
	id, secret := newToken(), newToken()
	d.try(id, code, secret, "eve")
	for range 3 {
		d.try(newToken(), "position-2222-2222", newToken(), "eve")
	}
	if d.try(newToken(), code, newToken(), "eve") {
		t.Error("a code is looked at while the address waits")
	}
	if !d.try(id, code, secret, "eve") || !d.try(newToken(), code, newToken(), "ada") {
		t.Error("others wait, too")
	}
	*now = now.Add(1100 * time.Millisecond)
	d.try(newToken(), "position-2222-2222", newToken(), "eve") // the fourth: two seconds
	*now = now.Add(1900 * time.Millisecond)
	if d.try(newToken(), code, newToken(), "eve") {
		t.Error("the wait has not grown")
	}
	*now = now.Add(200 * time.Millisecond)
	if !d.try(newToken(), code, newToken(), "eve") {
		t.Error("the wait does not end")
	}
	if wrong != 6 {
		t.Errorf("%d wrong codes are told of; wanted 6", wrong)
	}
}

// TestGuessingFromEverywhere: many addresses together are slowed down as well: in an
// hour of trying from a new address each time no more than some thousands of codes
// are looked at, of a million million.
func TestGuessingFromEverywhere(t *testing.T) {
	d, now := testDoor(false)
	looked := 0
	for i := range 36_000 { // ten a second
		from := time.Duration(i).String()
		if !d.guess.shut(from, *now) {
			looked++
		}
		d.try(newToken(), "safety-2222-2222", newToken(), from)
		*now = now.Add(100 * time.Millisecond)
	}
	if looked > 4000 {
		t.Errorf("%d codes were looked at in an hour", looked)
	}
}

func TestParseAddress(t *testing.T) {
	for _, c := range []struct{ text, want, err string }{
		{"10.0.0.7:7411/2345-6789-ABCD-EFGH", "10.0.0.7:7411/2345-6789-ABCD-EFGH", ""},
		{"[::1]:7411/23456789abcdefgh", "[::1]:7411/2345-6789-ABCD-EFGH", ""},
		{"stage:7411/2345 6789 ABCD EFGO", "stage:7411/2345-6789-ABCD-EFG0", ""},
		{"10.0.0.7:7411", "", "without the fingerprint"},
		{"10.0.0.7/2345-6789-ABCD-EFGH", "", "wanted HOST:PORT/FINGERPRINT"},
		{"10.0.0.7:7411/2345", "", "a fingerprint of 4 characters"},
		{"10.0.0.7:7411/2345-6789-ABCD-EFG!", "", "wanted letters and digits"},
		{"a\x1b[2J:1/2345-6789-ABCD-EFGH", "", "wanted HOST:PORT/FINGERPRINT"},
	} {
		a, err := ParseAddress(c.text)
		if err == nil && a.String() != c.want || (err == nil) != (c.err == "") || err != nil && !strings.Contains(err.Error(), c.err) {
			t.Errorf("%q: %q, %v; wanted %q, %q", c.text, a, err, c.want, c.err)
		}
	}
}

// TestTokens: a machine's number is one part of a subject, and no wildcard.
func TestTokens(t *testing.T) {
	for range 100 {
		if s := newToken(); !isToken(s) || strings.ContainsAny(s, ".*> ") {
			t.Fatalf("%q is no number", s)
		}
	}
	for _, s := range []string{"", "*", ">", strings.Repeat("*", tokenLength), strings.Repeat("a", tokenLength), strings.Repeat("A", tokenLength-1) + "."} {
		if isToken(s) {
			t.Errorf("%q is taken for a number", s)
		}
	}
}
