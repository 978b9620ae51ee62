package main

import (
	"fmt"
	"io"
	"strings"

	"drylane/playback/crew"
	"drylane/playback/disk"
	"drylane/playback/rehearsal"
	roles "drylane/show/crew"
)

// crewFlags are the flags of a run that others take part in.
type crewFlags struct {
	Crew      bool   `help:"Let others take part from their own machines (drylane join). Without it nothing listens, but for drylane instruct on this machine."`
	CrewAt    string `default:":7411" placeholder:"HOST:PORT" help:"With --crew: where it listens; port 0 is any that is free."`
	CrewCodes string `default:"evening" enum:"evening,once" help:"With --crew: a code is good for the evening, or for one person, after whom there is another."`
	CrewFile  string `placeholder:"PATH" help:"With --crew: write address, codes and fingerprint as JSON, for a script."`
}

// crew is how others take part; nil when nobody does.
func (f crewFlags) crew() *rehearsal.Crew {
	if !f.Crew {
		return nil
	}
	return &rehearsal.Crew{Listen: f.CrewAt, Once: f.CrewCodes == "once"}
}

// letCrewIn opens a run for others if it was asked to, and says how they join. The
// lead is nil when nobody takes part.
func (e *env) letCrewIn(r *rehearsal.Run, f runFlags, files *disk.Writer) (*crew.Lead, error) {
	if !f.Crew {
		if f.CrewFile != "" {
			return nil, fmt.Errorf("--crew-file: found no --crew; wanted it, too: nothing is there to join")
		}
		return nil, nil
	}
	file, err := files.Take("--crew-file", f.CrewFile)
	if err != nil {
		return nil, err
	}
	lead, err := r.LetCrewIn()
	if err != nil {
		return nil, err
	}
	i := lead.Invitation()
	if f.CrewFile != "" {
		err = file.Write(func(w io.Writer) error {
			_, err := w.Write(i.JSON())
			return err
		})
	}
	if err != nil {
		lead.Close()
		return nil, err
	}
	fmt.Fprint(e.errOut, invitationText(i))
	return lead, nil
}

// invitationText says how others join.
func invitationText(i crew.Invitation) string {
	var b strings.Builder
	fmt.Fprintf(&b, "crew: drylane join %s --code CODE --as NAME --role ROLE\n", i.Address)
	for _, k := range roles.Kinds() {
		fmt.Fprintf(&b, "  %-9s %s\n", k, i.Codes[k])
	}
	return b.String()
}
