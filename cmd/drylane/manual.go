package main

import (
	"cmp"
	"fmt"
	"io"
	"strings"

	"github.com/alecthomas/kong"
)

type manualCmd struct{}

func (manualCmd) Help() string {
	return "Prints the manual page: every command with its flags and examples. Packages install it.\n\nExample:\n\n  drylane manual > drylane.1"
}

func (manualCmd) Run(e *env, k *kong.Kong) error {
	_, err := io.WriteString(e.out, manual(k.Model.Node))
	return err
}

// manual is the manual page in the macros of man(7), from the command tree.
func manual(root *kong.Node) string {
	var p page
	p.macro("TH DRYLANE 1 \"\" \"drylane " + version + "\"")
	p.macro("SH NAME")
	p.text("drylane - a rehearsal console for firework displays that are fired to music")
	p.macro("SH SYNOPSIS")
	p.macro("B drylane")
	p.text("COMMAND [FLAGS]")
	p.macro("SH DESCRIPTION")
	p.paragraphs(description)
	p.macro("SH COMMANDS")
	p.commands(root)
	p.macro("SH EXIT STATUS")
	for _, s := range [][2]string{
		{fmt.Sprint(exitOK), "All is well."},
		{fmt.Sprint(exitWrong), "Something that was given is wrong, or could not be done."},
		{fmt.Sprint(exitUsage), "The command line does not read."},
	} {
		p.tagged(s[0], s[1])
	}
	p.macro("SH FILES")
	p.tagged("drylane/config.toml", "in the user's configuration folder: theme and keys.")
	p.tagged("drylane/sessions", "in the user's data folder: a log for each rehearsal.")
	return p.String()
}

// A page is written in macros and text.
type page struct{ strings.Builder }

func (p *page) macro(s string) { p.WriteString("." + s + "\n") }

// text writes a text that no line of which is taken for a macro.
func (p *page) text(s string) {
	for line := range strings.SplitSeq(s, "\n") {
		p.WriteString(escaped(line) + "\n")
	}
}

var roff = strings.NewReplacer(`\`, `\e`, "-", `\-`, "'", `\(aq`, "`", "\\`", "^", `\(ha`, "~", `\(ti`)

// escaped is a line as it stands: in roff a full stop or an apostrophe begins a macro,
// and some signs are set as others.
func escaped(line string) string {
	line = roff.Replace(line)
	if strings.HasPrefix(line, ".") {
		line = `\&` + line
	}
	return line
}

// paragraphs writes a text with empty lines in it; what is set in by two blanks is an
// example or a file, and stands as it is.
func (p *page) paragraphs(s string) {
	set := false
	for line := range strings.SplitSeq(strings.TrimSpace(s), "\n") {
		in := strings.HasPrefix(line, "  ")
		switch {
		case line == "":
			if !set {
				p.macro("PP")
				continue
			}
		case in && !set:
			p.macro("RS 4\n.nf")
			set = true
		case !in && set:
			p.macro("fi\n.RE\n.PP")
			set = false
		}
		p.text(strings.TrimPrefix(line, "  "))
	}
	if set {
		p.macro("fi\n.RE")
	}
}

func (p *page) tagged(tag, text string) {
	p.macro("TP")
	p.macro("B " + quoted(tag))
	p.text(text)
}

// quoted is a macro's argument that may have blanks in it.
func quoted(s string) string {
	return `"` + strings.ReplaceAll(escaped(s), `"`, `\(dq`) + `"`
}

// commands writes those below n that are no secret.
func (p *page) commands(n *kong.Node) {
	for _, c := range n.Children {
		if c.Hidden {
			continue
		}
		p.macro("SS " + quoted(strings.TrimPrefix(c.FullPath(), "drylane ")+arguments(c)))
		p.text(c.Help)
		p.macro("PP")
		p.paragraphs(c.Detail)
		for _, f := range c.Flags {
			if !f.Hidden && f.Name != "help" {
				p.tagged(flagWords(f), f.Help)
			}
		}
		p.commands(c)
	}
}

// arguments are those behind a command.
func arguments(n *kong.Node) string {
	out := ""
	for _, v := range n.Positional {
		name := cmp.Or(v.Tag.PlaceHolder, strings.ToUpper(v.Name))
		if v.IsSlice() {
			name += "..."
		}
		if !v.Required {
			name = "[" + name + "]"
		}
		out += " " + name
	}
	return out
}

// flagWords are a flag and what it takes.
func flagWords(f *kong.Flag) string {
	switch {
	case f.IsBool():
		return "--" + f.Name
	case f.Enum != "":
		return "--" + f.Name + " " + strings.Join(valuesOf(f.Value, ""), "|")
	}
	return "--" + f.Name + " " + cmp.Or(f.PlaceHolder, "VALUE")
}
