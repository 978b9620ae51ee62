package main

import (
	"errors"
	"fmt"
	"io"
	"net"
	"strconv"
	"strings"

	"drylane/playback/crew"
	"drylane/playback/disk"
	"drylane/playback/rehearsal"
	roles "drylane/show/crew"
	"drylane/tui/screen"
	"drylane/tui/settings"
)

// crewFlags are the flags of a run that others take part in.
type crewFlags struct {
	Crew      bool   `help:"Let others take part from their own machines (drylane join). Without it nothing listens, but for drylane instruct on this machine."`
	CrewAt    string `default:":7411" placeholder:"HOST:PORT" help:"With --crew: where it listens; port 0 is any that is free."`
	CrewCodes string `default:"evening" enum:"evening,once" help:"With --crew: a code is good for the evening, or for one person, after whom there is another."`
	CrewPage  string `placeholder:"HOST:PORT" help:"With --crew: where the page for telephones is served, or off; default: the port after that of --crew-at, or any that is free."`
	CrewFile  string `placeholder:"PATH" help:"With --crew: write address, codes and fingerprint as JSON, for a script."`
	Via       string `placeholder:"URL" help:"With --crew: be reached over a NATS server or cluster of somebody else's, nats://HOST:PORT or tls://HOST:PORT, several with commas between; then nothing listens here."`
	viaFlags

	CrewPagePlain bool `help:"With --crew: the page without TLS. Whoever is on the network can read the code and speak as others."`
}

// viaFlags are the flags of whoever goes over a server of somebody else's.
type viaFlags struct {
	ViaCreds string `placeholder:"PATH" help:"For a NATS server of somebody else's that the crew goes over: a file of credentials that it lets this user in with. User and password may stand in the URL."`
	ViaCA    string `name:"via-ca" placeholder:"PATH" help:"For such a server: the certificates that its own may be signed by, as PEM; default: the system's."`
}

// crew is how others take part; nil when nobody does.
func (f crewFlags) crew() *rehearsal.Crew {
	if !f.Crew {
		return nil
	}
	return &rehearsal.Crew{Listen: f.CrewAt, Once: f.CrewCodes == "once", Via: crew.Via{URL: f.Via, Creds: f.ViaCreds, CA: f.ViaCA}, Page: f.page(), Else: f.CrewPage == "", Plain: f.CrewPagePlain}
}

// page is where the page for telephones is served; empty for nowhere.
func (f crewFlags) page() string {
	if f.CrewPage == "off" || f.CrewPage == "" && f.Via != "" { // then nothing listens here
		return ""
	}
	host, port, err := net.SplitHostPort(f.CrewAt)
	if n, e := strconv.Atoi(port); f.CrewPage == "" && err == nil && e == nil && n >= 0 && n <= 65535 {
		return net.JoinHostPort(host, strconv.Itoa((n+min(n, 1))%65536)) // beside any port, any other
	}
	return f.CrewPage
}

// letCrewIn opens a run for others if it was asked to, and says how they join. The
// lead is nil when nobody takes part.
func (e *env) letCrewIn(r *rehearsal.Run, f runFlags, files *disk.Writer) (*crew.Lead, error) {
	if !f.Crew {
		switch {
		case f.CrewFile != "":
			return nil, errors.New("--crew-file: found no --crew; wanted it, too: nothing is there to join")
		case f.CrewPage != "" || f.CrewPagePlain:
			return nil, errors.New("--crew-page: found no --crew; wanted it, too: nobody takes part")
		case f.Via != "":
			return nil, errors.New("--via: found no --crew; wanted it, too: nothing is there to join")
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
	fmt.Fprint(e.errOut, invitationText(i)+e.squareText(i, f))
	return lead, nil
}

// squareText is the link for positions as a QR code, for a telephone's camera. A pipe, a
// screen reader and a terminal that has none but ASCII have no use for it.
func (e *env) squareText(i crew.Invitation, f runFlags) string {
	s, err := settings.Read()
	if i.Page == "" || !e.terminal() || f.Plain || err != nil {
		return ""
	}
	look := s.Look(f.Theme, f.ASCII, e.outFile)
	square, err := screen.NewSquare(i.Link(roles.Position, 0))
	if err != nil || look.ASCII {
		return ""
	}
	return "for a position, as a QR code; the console shows those of all roles:\n" + strings.Join(square.Rows(look.OnLight()), "\n") + "\n"
}

// invitationText says how others join.
func invitationText(i crew.Invitation) string {
	var b strings.Builder
	fmt.Fprintf(&b, "crew: drylane join %s --code CODE --as NAME --role ROLE\n", i.Address)
	for _, k := range roles.Kinds() {
		fmt.Fprintf(&b, "  %-9s %s\n", k, i.Codes[k])
	}
	if i.Page == "" {
		return b.String()
	}
	fmt.Fprintf(&b, "telephones: %s\n", i.Page)
	for _, k := range crew.PageKinds() {
		fmt.Fprintf(&b, "  %-9s %s\n", k, i.Link(k, 0))
	}
	if strings.HasPrefix(i.Page, "http:") {
		b.WriteString("  without TLS: whoever is on the network can read the codes\n")
	} else {
		fmt.Fprintf(&b, "  certificate, SHA-256: %s\n", i.Fingerprint)
	}
	return b.String()
}
