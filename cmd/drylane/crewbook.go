package main

import (
	"fmt"
	"io"
	"slices"
	"strings"
	"time"

	"drylane/playback/disk"
	"drylane/playback/signatures"
	"drylane/show"
	"drylane/show/season"
)

// book prints how a crew stands against its curriculum.
func (e *env) book(c progressCmd, logs []string, html *disk.Target) error {
	f, err := disk.OpenText(c.Crew, "curriculum")
	if err != nil {
		return err
	}
	defer f.Close()
	crew, err := season.ParseCurriculum(show.Clean(c.Crew), f)
	if err != nil {
		return err
	}
	results, err := e.drillsOf(c.Dir, logs, func(person string) bool {
		return slices.ContainsFunc(crew.Crew, func(m season.Member) bool { return strings.EqualFold(m.Name, person) })
	})
	if err != nil {
		return err
	}
	signed, err := e.signed(c.Dir)
	if err != nil {
		return err
	}
	b := season.Open(crew, results, signed, time.Now())
	if err := html.Write(func(w io.Writer) error { return b.WriteHTML(w) }); err != nil {
		return err
	}
	if c.JSON {
		return printJSON(e.out, b.Figures())
	}
	return b.WriteText(e.out)
}

// signed returns what tells whether an assessor signed a session that lies in dir as
// it is now.
func (e *env) signed(dir string) (func(session string) bool, error) {
	chain, err := signatures.Read(signatures.Path())
	if err != nil {
		return nil, err
	}
	return func(session string) bool {
		i := slices.IndexFunc(chain, func(s season.Signature) bool { return s.Session == session })
		if i < 0 {
			return false
		}
		now, err := signatures.Sum(dir, session)
		if err != nil || !slices.ContainsFunc(chain[i:], func(s season.Signature) bool { return s.Session == session && s.SHA256 == now }) {
			fmt.Fprintf(e.errOut, "%s: it was changed after it was signed; the signature does not count\n", show.Clean(session))
			return false
		}
		return true
	}, nil
}
