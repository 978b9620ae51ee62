// Package makesafe is who is in the field, and since when the show is safe: a waiting
// time counts from a cut or the end of the show before anybody goes in, and while anybody
// is in, nothing is armed.
package makesafe

import (
	"errors"
	"fmt"
	"slices"
	"strings"
	"time"
)

// A Visit is somebody's way into the field and out of it.
type Visit struct {
	Name string
	In   time.Time
	Back time.Time     // zero: still in
	Left time.Duration // of the waiting time, when they went in: 0 if it was over
}

// A Book is who went in and who is back. A copy of a Book is a snapshot: it may be read on
// another goroutine while the original goes on.
type Book struct {
	wait   time.Duration
	safe   time.Time // from when the waiting time counts; zero: nothing has been armed yet
	visits []Visit   // replaced, never written to
}

// New returns an empty book, of a show that has not been armed.
func New(wait time.Duration) *Book { return &Book{wait: wait} }

// Wait is the waiting time.
func (b *Book) Wait() time.Duration { return b.wait }

// Safe says that the show was cut, or ended: the waiting time counts from now.
func (b *Book) Safe(now time.Time) { b.safe = now }

// Left is what is left of the waiting time; 0 when it is over, or when nothing has been
// armed.
func (b *Book) Left(now time.Time) time.Duration {
	if b.safe.IsZero() {
		return 0
	}
	return max(0, b.safe.Add(b.wait).Sub(now))
}

// Enter says that somebody goes in. Whether the time has come for that is for who asks to
// have looked at. The error is for the shooter, and then nothing was done.
func (b *Book) Enter(name string, now time.Time) error {
	switch {
	case strings.TrimSpace(name) == "":
		return errors.New("found no name; wanted who goes in")
	case b.find(name) >= 0:
		return fmt.Errorf("%s is in the field already", name)
	}
	b.visits = append(slices.Clone(b.visits), Visit{Name: name, In: now, Left: b.Left(now)})
	return nil
}

// Back says that somebody is out of the field again.
func (b *Book) Back(name string, now time.Time) error {
	i := b.find(name)
	if i < 0 {
		return fmt.Errorf("%s is not in the field", name)
	}
	b.visits = slices.Clone(b.visits)
	b.visits[i].Back = now
	return nil
}

// find is the visit of somebody who is in, by name, whatever the case of its letters.
func (b *Book) find(name string) int {
	return slices.IndexFunc(b.visits, func(v Visit) bool { return v.Back.IsZero() && strings.EqualFold(v.Name, name) })
}

// Named is the name of somebody who is in, as it was given; ok is false when they are not.
func (b *Book) Named(name string) (as string, ok bool) {
	if i := b.find(name); i >= 0 {
		return b.visits[i].Name, true
	}
	return "", false
}

// In are the visits of those who are in, the longest first.
func (b *Book) In() []Visit {
	var list []Visit
	for _, v := range b.visits {
		if v.Back.IsZero() {
			list = append(list, v)
		}
	}
	return list
}

// Visits are all visits, in the order in which they began. They are not to be changed.
func (b *Book) Visits() []Visit { return b.visits }
