package main

import (
	"fmt"
	"slices"
	"strings"

	"drylane/playback/sessions"
	"drylane/show/drill"

	"github.com/alecthomas/kong"
)

// completeCmd is what the shells ask while somebody types: it stands in no help.
type completeCmd struct {
	Words []string `arg:"" optional:"" passthrough:"" help:"The words behind drylane, the last one as far as it is typed." placeholder:"WORD"`
}

func (completeCmd) Help() string {
	return "Prints what may stand for the last word, one a line, with a tab and what it means. A line that begins with a colon says that files, or folders, may stand there too.\n\nExample:\n\n  drylane complete -- dr"
}

func (c completeCmd) Run(e *env, k *kong.Kong) error {
	words := c.Words
	if len(words) > 0 && words[0] == "--" {
		words = words[1:]
	}
	for _, line := range candidates(k.Model.Node, words) {
		if _, err := fmt.Fprintln(e.out, line); err != nil {
			return err
		}
	}
	return nil
}

// What else may stand for a word.
const (
	anyFile   = ":files"
	anyFolder = ":folders"
)

// candidates are what may stand for the last word, of those that begin as it does.
func candidates(root *kong.Node, typed []string) []string {
	last := ""
	if n := len(typed); n > 0 {
		typed, last = typed[:n-1], typed[n-1]
	}
	if last == `""` { // some PowerShells cannot pass on nothing
		last = ""
	}
	at := walk(root, typed)
	var all []string
	switch {
	case at.flag != nil:
		all = valuesOf(at.flag.Value, at.flag.PlaceHolder)
	case strings.HasPrefix(last, "-"):
		all = flagsOf(at.node)
	case len(at.node.Children) > 0:
		for _, child := range at.node.Children {
			if !child.Hidden {
				all = append(all, child.Name+"\t"+child.Help)
			}
		}
	case len(at.node.Positional) > 0:
		v := at.node.Positional[min(at.behind, len(at.node.Positional)-1)]
		if at.behind < len(at.node.Positional) || v.IsSlice() {
			all = valuesOf(v, v.Tag.PlaceHolder)
		}
	}
	return slices.DeleteFunc(all, func(s string) bool { return !strings.HasPrefix(s, ":") && !strings.HasPrefix(s, last) })
}

// A place is where somebody types.
type place struct {
	node   *kong.Node
	behind int        // how many words stand behind the command
	flag   *kong.Flag // whose value is typed; nil for none
}

// walk follows the words that are typed whole.
func walk(root *kong.Node, typed []string) place {
	at := place{node: root}
	for _, word := range typed {
		child := slices.IndexFunc(at.node.Children, func(n *kong.Node) bool { return n.Name == word })
		switch {
		case at.flag != nil:
			at.flag = nil
		case strings.HasPrefix(word, "--"):
			if f := flagOf(at.node, word[2:]); f != nil && !f.IsBool() {
				at.flag = f
			}
		case child >= 0:
			at = place{node: at.node.Children[child]}
		default:
			at.behind++
		}
	}
	return at
}

// flagOf is the flag of a name that stands alone, without =; nil for none.
func flagOf(n *kong.Node, name string) *kong.Flag {
	for _, f := range n.Flags {
		if f.Name == name {
			return f
		}
	}
	return nil
}

func flagsOf(n *kong.Node) []string {
	out := []string{"--help\tShow help."}
	for _, f := range n.Flags {
		if !f.Hidden && f.Name != "help" {
			out = append(out, "--"+f.Name+"\t"+f.Help)
		}
	}
	return out
}

// valuesOf are those of a flag or an argument: what it is limited to, or what its
// placeholder is a word for.
func valuesOf(v *kong.Value, placeholder string) []string {
	if v.Enum != "" {
		return slices.DeleteFunc(v.EnumSlice(), func(s string) bool { return s == "" || s == "0" })
	}
	var out []string
	for kind := range strings.SplitSeq(placeholder, "|") {
		switch kind {
		case "DIR", "NEWDIR", "OUTDIR":
			out = append(out, anyFolder)
		case "SESSION", "LOG":
			out = append(append(out, sessionNames()...), anyFile)
		case "FILE", "OUT", "PATH", "SCRIPT", "OUT.wav", "A", "B":
			out = append(out, anyFile)
		case "NAME":
			if placeholder != "NAME" { // a drill, or the file of one
				out = append(out, drillNames()...)
			}
		}
	}
	return out
}

// sessionNames are those in the user's data folder, the last one first.
func sessionNames() []string {
	names, _ := sessions.Names(sessions.Dir())
	slices.Reverse(names)
	return append([]string{"last\tthe session that was started last"}, names...)
}

// drillNames are those of the drills that come along.
func drillNames() []string {
	list, _ := drill.List(shelf().Shipped)
	var out []string
	for _, d := range list {
		out = append(out, d.Name+"\t"+d.Title)
	}
	return out
}
