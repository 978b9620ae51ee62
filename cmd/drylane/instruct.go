package main

import (
	"bytes"
	"cmp"
	"errors"
	"fmt"
	"strings"
	"text/tabwriter"

	"drylane/playback/crew"
	"drylane/playback/knock"
	roles "drylane/show/crew"
	"drylane/tui/instructor"
	"drylane/tui/screen"
)

type instructCmd struct {
	Drill string `arg:"" optional:"" name:"process" help:"Which drill: its process id; default: the only one there is." placeholder:"PROCESS"`
	consoleFlags
}

func (instructCmd) Help() string {
	return "For a second person at a second terminal of the same machine, logged in as the same user. The instructor sees the trainee's state and taps live, " +
		"speaks on the radio, calls faults by hand and ends the drill. A run goes on whether an instructor comes, stays or leaves. " +
		"This is the short form of drylane join --role trainer, which does the same from another machine.\n\n" +
		"Examples:\n\n  drylane instruct\n  drylane instruct 4711"
}

func (c *instructCmd) Run(e *env) error {
	path := knock.Named(c.Drill)
	if c.Drill == "" {
		found, err := knock.Find()
		if err != nil {
			return err
		}
		if path, err = onlyDrill(found); err != nil {
			return err
		}
	}
	m, err := e.joinAt(path)
	if err != nil {
		return err
	}
	defer m.Close()
	if !e.terminal() {
		return errors.New("this is no terminal, so nobody can press keys")
	}
	look, err := c.look(e)
	if err != nil {
		return err
	}
	return screen.Run(e.ctx, instructor.New(instructor.Setup{Link: m, Look: look}), e.in, e.screen)
}

// joinAt joins the drill whose notice is at path, as a trainer who is given a name.
func (e *env) joinAt(path string) (*crew.Member, error) {
	b, err := knock.Knock(e.ctx, path)
	if err != nil {
		return nil, err
	}
	i, err := crew.ReadInvitation(bytes.NewReader(b))
	if err != nil {
		return nil, fmt.Errorf("%s: %w", path, err)
	}
	address, err := crew.ParseAddress(i.Address)
	if err != nil {
		return nil, fmt.Errorf("%s: %w", path, err)
	}
	return crew.Dial(e.ctx, crew.Join{Address: address, Code: i.Codes[roles.Trainer], Role: roles.Role{Kind: roles.Trainer}})
}

// onlyDrill returns the notice of the one drill there is; the error lists several.
func onlyDrill(found []knock.Found) (string, error) {
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
	for _, f := range found {
		if f.Err != nil {
			fmt.Fprintf(t, "  %s: %v\n", f.Path, f.Err)
			continue
		}
		fmt.Fprintf(t, "  %d\t%s\t%s\n", f.PID, cmp.Or(f.Drill, "-"), f.Show)
	}
	t.Flush()
	return "", errors.New(strings.TrimSuffix(b.String(), "\n"))
}
