package console

import (
	"fmt"
	"slices"
	"strings"

	"drylane/playback/crew"
	roles "drylane/show/crew"
	"drylane/show/timebase"
	"drylane/tui/screen"
)

// A phoneLink is what a telephone opens, and for whom.
type phoneLink struct{ who, url string }

// phoneLinks are the links to the page for telephones: for a position that whoever opens
// it chooses, for each of them, and for the other roles. There are none without a page.
func phoneLinks(i crew.Invitation) (list []phoneLink) {
	if i.Page == "" {
		return nil
	}
	for _, k := range crew.PageKinds() {
		if k != roles.Position {
			list = append(list, phoneLink{string(k), i.Link(k, 0)})
			continue
		}
		list = append(list, phoneLink{"a position, to be chosen", i.Link(k, 0)})
		for at, name := range i.Positions {
			list = append(list, phoneLink{name, i.Link(k, at+1)})
		}
	}
	return list
}

// openLinks lets the keys be for the links; false where no page is served.
func (m *Screen) openLinks(h *hand) bool {
	if m.inLines || m.Others == nil || m.Others.Invitation().Page == "" {
		return false
	}
	h.mode, h.link = linkMode, 0
	return true
}

// takeLinks takes a key over the links: the panel key goes on to the next, and any other
// goes back; a HOLD has been called by then.
func (h *hand) takeLinks(a screen.Act) {
	if a == actPanel {
		h.link++
	} else {
		h.mode = runMode
	}
}

// drawLinks shows a link as a QR code, as it is typed, and the fingerprint by which the
// page is known to be the lead's.
func (m *Screen) drawLinks(c *screen.Canvas) {
	i := m.Others.Invitation()
	list := phoneLinks(i)
	if len(list) == 0 {
		return
	}
	at := m.link % len(list)
	under := screen.Rect(0, m.lay.bar.Y+m.lay.bar.H, c.W, c.H-m.lay.bar.H) // the state stays in sight
	r := c.BoxIn(under, 78, 24, fmt.Sprintf("telephones: for %s", list[at].who))
	whole := r.W
	r = m.drawSquare(c, r, list[at].url)
	open := "open"
	if r.W < whole {
		open = "photograph the square, or open"
	}
	c.Text(r.X, r.Y, r.W, "music at "+timebase.ClockTenths(m.heard().At(m.Plan.Rate)), screen.Normal)
	y := r.Y + 2
	for _, part := range []struct {
		text  string
		rows  []string
		style screen.Style
	}{
		{open, screen.WrapExact(list[at].url, r.W), screen.Strong},
		{"The browser warns of a certificate that nobody has signed. It is this one (SHA-256):", fingerprint(i, (r.W+1)/3), screen.Normal},
	} {
		for _, row := range m.Wrap(part.text, r.W) {
			c.Text(r.X, y, r.W, row, screen.Quiet)
			y++
		}
		for _, row := range part.rows {
			c.Text(r.X, y, r.W, row, part.style)
			y++
		}
		y++
	}
	foot := m.Wrap(fmt.Sprintf("%s holds; %s: the next (%d of %d); any other key goes back", m.Keys.Name(actHold), m.Keys.Name(actPanel), at+1, len(list)), r.W)
	for k, row := range foot {
		c.Text(r.X, r.Y+r.H-len(foot)+k, r.W, row, screen.Quiet)
	}
}

// drawSquare draws the code of a link at the left, and returns what is left of r. In ASCII
// there is none, nor where it has no room.
func (m *Screen) drawSquare(c *screen.Canvas, r screen.Rectangle, link string) screen.Rectangle {
	s, err := screen.NewSquare(link)
	if err != nil || m.ASCII {
		return r
	}
	w, h := s.Size()
	if h > r.H || w > r.W-30 {
		return r
	}
	c.Square(r.X, r.Y, s)
	return screen.Rect(r.X+w+1, r.Y, r.W-w-1, r.H)
}

// fingerprint is the certificate's as browsers show it, in rows of so many bytes.
func fingerprint(i crew.Invitation, bytes int) (rows []string) {
	if strings.HasPrefix(i.Page, "http:") {
		return []string{"none: the page is served without TLS"}
	}
	var pairs []string
	for f := strings.ToUpper(i.Fingerprint); len(f) >= 2; f = f[2:] {
		pairs = append(pairs, f[:2])
	}
	for row := range slices.Chunk(pairs, bytes) {
		rows = append(rows, strings.Join(row, ":"))
	}
	return rows
}

// linkLines say how telephones join.
func (p *Spoken) linkLines() []string {
	if p.Others == nil {
		return []string{"No crew: this is a run without --crew"}
	}
	i := p.Others.Invitation()
	lines := []string{"No page for telephones is served"}
	if i.Page != "" {
		lines = []string{"Telephones open " + i.Page + " and type a code"}
	}
	for _, k := range crew.PageKinds() {
		lines = append(lines, fmt.Sprintf("Code for %s: %s", k, i.Codes[k]))
	}
	return lines
}
