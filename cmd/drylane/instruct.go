package main

import (
	"cmp"
	"errors"
	"fmt"
	"strings"
	"text/tabwriter"

	"drylane/playback/instruct"
	"drylane/tui/instructor"
	"drylane/tui/screen"
)

type instructCmd struct {
	Socket string `arg:"" optional:"" help:"Which run: its process id, or the path of its socket; default: the only one there is." placeholder:"SOCKET"`
	consoleFlags
}

func (instructCmd) Help() string {
	return "For a second person at a second terminal of the same machine, logged in as the same user. The instructor sees the trainee's state and taps live, " +
		"speaks on the radio, calls faults by hand and ends the drill. A run goes on whether an instructor comes, stays or leaves.\n\n" +
		"Examples:\n\n  drylane instruct\n  drylane instruct 4711"
}

func (c *instructCmd) Run(e *env) error {
	path := instruct.Named(c.Socket)
	if c.Socket == "" {
		found, err := instruct.Find(e.ctx)
		if err != nil {
			return err
		}
		if path, err = onlyRun(found); err != nil {
			return err
		}
	}
	client, err := instruct.Dial(e.ctx, path)
	if err != nil {
		return err
	}
	defer client.Close()
	if !e.terminal() {
		return errors.New("this is no terminal, so nobody can press keys")
	}
	look, err := c.look(e)
	if err != nil {
		return err
	}
	m := instructor.New(instructor.Setup{Hello: client.Hello, Link: client, Look: look})
	return screen.Run(e.ctx, m, e.in, e.screen)
}

// onlyRun returns the socket of the one run there is; the error lists several.
func onlyRun(found []instruct.Running) (string, error) {
	switch len(found) {
	case 0:
		return "", errors.New("found no run that can be instructed; wanted a drill that runs in another terminal of this user, on this machine")
	case 1:
		return found[0].Path, nil
	}
	var b strings.Builder
	fmt.Fprintf(&b, "found %d runs; wanted one of them: drylane instruct PROCESS\n", len(found))
	t := tabwriter.NewWriter(&b, 0, 0, 2, ' ', 0)
	fmt.Fprintln(t, "  process\tdrill\tshow")
	for _, r := range found {
		h := r.Hello
		if r.Err != nil {
			fmt.Fprintf(t, "  %v\n", r.Err)
			continue
		}
		fmt.Fprintf(t, "  %d\t%s\t%s\n", h.PID, cmp.Or(h.Drill, "-"), h.Show)
	}
	t.Flush()
	return "", errors.New(strings.TrimSuffix(b.String(), "\n"))
}
