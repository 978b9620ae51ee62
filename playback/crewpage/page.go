package crewpage

import (
	"bytes"
	"crypto/sha256"
	_ "embed"
	"encoding/base64"
	"html"
	"strings"
)

// The parts of the page.
var (
	//go:embed page.html
	pageHTML string
	//go:embed page.css
	pageCSS string
	//go:embed clock.js
	clockJS string
	//go:embed link.js
	linkJS string
	//go:embed screen.js
	screenJS string
	//go:embed start.js
	startJS string
)

// script is the page's own, in the order in which its parts know each other.
var script = strings.Join([]string{clockJS, linkJS, screenJS, startJS}, "\n")

// policy lets in what the page itself consists of, and talks to the lead alone.
var policy = "default-src 'none'; script-src " + hashOf(script) + "; style-src " + hashOf(pageCSS) +
	"; connect-src 'self'; base-uri 'none'; form-action 'none'; frame-ancestors 'none'"

// hashOf names a script or style of the page in its policy.
func hashOf(text string) string {
	sum := sha256.Sum256([]byte(text))
	return "'sha256-" + base64.StdEncoding.EncodeToString(sum[:]) + "'"
}

// wholePage is the page of a rehearsal, by which it tells its own from another's.
func wholePage(rehearsal string) []byte {
	var b bytes.Buffer
	strings.NewReplacer("{{style}}", pageCSS, "{{script}}", script, "{{rehearsal}}", html.EscapeString(rehearsal)).WriteString(&b, pageHTML)
	return b.Bytes()
}
