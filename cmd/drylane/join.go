package main

import (
	"cmp"
	"encoding/json"
	"errors"
	"fmt"
	"time"

	"drylane/playback/crew"
	"drylane/playback/disk"
	"drylane/playback/people"
	"drylane/show"
	roles "drylane/show/crew"
	"drylane/show/session"
	"drylane/show/timebase"
	tuicrew "drylane/tui/crew"
	"drylane/tui/instructor"
	"drylane/tui/screen"
)

type joinCmd struct {
	Address  string `arg:"" optional:"" help:"HOST:PORT/FINGERPRINT or SERVER/FINGERPRINT, as the lead's machine shows it." placeholder:"ADDRESS"`
	Code     string `placeholder:"CODE" help:"The code for the role, as the lead's machine shows it."`
	CrewFile string `placeholder:"PATH" help:"Take address and code from the file that the lead wrote with --crew-file."`
	As       string `required:"" placeholder:"NAME" help:"Your name, as the others see it."`
	Role     string `required:"" placeholder:"ROLE" help:"position:NAME, listener, spotter, safety or trainer."`
	Place    string `placeholder:"NAME" help:"Of a listener: where you stand, a place of the show, such as \"main audience\" or a position, or \"music\" beside the speakers. Without it your taps are not joined with those of others."`
	hearFlags
	viaFlags
	consoleFlags
	Auto string `placeholder:"SCRIPT" help:"A script that does what a person would at the keys."`
	Log  string `placeholder:"PATH" help:"Where this machine's own log goes, a file that is not there yet; default: the user's data folder."`
	JSON bool   `help:"With --auto: print what is seen as JSON lines."`
}

func (joinCmd) Help() string {
	return "Takes part in a rehearsal that another machine leads (drylane rehearse DIR --crew). The role decides what is seen and what may be done; anybody may call HOLD, and only the shooter resumes. " +
		"A machine that hears nothing from the lead for a second holds and says LINK LOST; coming back needs no key. A telephone needs no drylane: the lead serves a page for it, at the link that --crew prints and the console shows as a QR code.\n\n" +
		hearHelp +
		"Example:\n\n  drylane join 192.168.1.20:7411/2345-6789-ABCD-EFGH --code position-7M4Q-X2DK --as Ada --role position:Beacon --show shows/harbour\n  drylane join --crew-file crew.json --as Ben --role safety\n  drylane join --crew-file crew.json --as Cyd --role listener --place bridge\n\n" + roles.ScriptHelp
}

func (c *joinCmd) Run(e *env) error {
	role, err := roles.ParseRole(c.Role)
	if err != nil {
		return fmt.Errorf("--role: %w", err)
	}
	if err := c.invited(role); err != nil {
		return err
	}
	address, err := crew.ParseAddress(c.Address)
	if err != nil {
		return err
	}
	if err := c.hearFlags.check(role); err != nil {
		return err
	}
	var steps []roles.Step
	if c.Auto != "" {
		if steps, err = readMemberScript(c.Auto); err != nil {
			return err
		}
	} else if !e.terminal() {
		return errors.New("this is no terminal, so nobody can press keys; give a script with --auto SCRIPT")
	}
	m, err := crew.Dial(e.ctx, crew.Join{Address: address, Code: c.Code, Name: c.As, Role: role, Place: c.Place, Habit: e.habit(role, c.As), Via: crew.Via{Creds: c.ViaCreds, CA: c.ViaCA}})
	if err != nil {
		return err
	}
	err = c.joined(e, m, role, steps)
	m.Close()
	return err
}

// joined is somebody's evening: what is heard, this machine's log, and their part.
func (c *joinCmd) joined(e *env, m *crew.Member, role roles.Role, steps []roles.Step) error {
	source, err := c.source(e.ctx, m, role)
	if err != nil {
		return err
	}
	diary, err := crew.OpenDiary(c.Log, m.View().Welcome, time.Now())
	if err != nil {
		source.Close()
		return err
	}
	ear, err := c.start(m, source, diary)
	if err == nil {
		m.Watch(diary.Report)
		err = c.takePart(e, m, role, steps, ear)
		ear.close()
		m.Close() // and nobody reports any more
	}
	return errors.Join(err, diary.Close())
}

// habit is how a listener taps, as it was calibrated on this machine; nil where it was not.
func (e *env) habit(role roles.Role, name string) *session.Habit {
	if role.Kind != roles.Listener {
		return nil
	}
	p, err := people.Find(name)
	var none *people.NotCalibrated
	switch {
	case errors.As(err, &none), people.CheckName(name) != nil:
		return nil
	case err != nil: // taps count without it
		fmt.Fprintf(e.errOut, "%v\n", err)
		return nil
	}
	return &session.Habit{BiasNS: int64(p.Bias()), ScatterNS: int64(p.Scatter()), Taps: p.Taps}
}

// takePart is somebody's part in a rehearsal: at the keys, or by a script.
func (c *joinCmd) takePart(e *env, m *crew.Member, role roles.Role, steps []roles.Step, ear *ear) error {
	if c.Auto != "" {
		return crew.RunScript(e.ctx, m, steps, c.report(e))
	}
	look, err := c.look(e)
	if err != nil {
		return err
	}
	if role.Kind == roles.Trainer {
		return screen.Run(e.ctx, instructor.New(instructor.Setup{Link: m, Look: look}), e.in, e.screen)
	}
	return screen.Run(e.ctx, tuicrew.New(tuicrew.Setup{Link: m, Role: role, Sound: ear.status, Look: look}), e.in, e.screen)
}

// invited takes from the lead's file what the command line does not say.
func (c *joinCmd) invited(role roles.Role) error {
	switch {
	case c.CrewFile == "" && (c.Address == "" || c.Code == ""):
		return errors.New("found no address or no code; wanted ADDRESS and --code, as the lead's machine shows them, or --crew-file PATH")
	case c.CrewFile == "":
		return nil
	}
	f, err := disk.OpenText(c.CrewFile, "crew file")
	if err != nil {
		return err
	}
	defer f.Close()
	i, err := crew.ReadInvitation(f)
	if err != nil {
		return fmt.Errorf("%s: %w", show.Clean(c.CrewFile), err)
	}
	c.Address, c.Code = cmp.Or(c.Address, i.Address), cmp.Or(c.Code, i.Codes[role.Kind])
	return nil
}

func readMemberScript(path string) ([]roles.Step, error) {
	f, err := disk.OpenText(path, "script")
	if err != nil {
		return nil, err
	}
	defer f.Close()
	return roles.ParseScript(path, f)
}

// report prints what a member sees, a line each.
func (c *joinCmd) report(e *env) func(crew.Report) {
	enc := json.NewEncoder(e.out)
	enc.SetEscapeHTML(false)
	return func(r crew.Report) {
		if c.JSON {
			enc.Encode(map[string]any{"lead_ns": r.At, "bound_ns": r.Bound, "kind": r.Kind, "text": r.Text})
			return
		}
		fmt.Fprintf(e.out, "%s  %-7s %s\n", timebase.ClockMillis(r.At), r.Kind, r.Text)
	}
}
