package main

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"text/tabwriter"
	"time"

	"drylane/playback/disk"
	"drylane/playback/sessions"
	"drylane/show"
	"drylane/show/drill"
)

type drillCmd struct {
	List    drillListCmd    `cmd:"" help:"List the drills: those that come with drylane, or those of a folder."`
	Run     drillRunCmd     `cmd:"" help:"Run a drill on the console, or by a script."`
	Make    drillMakeCmd    `cmd:"" help:"Write a drill to start from."`
	Check   drillCheckCmd   `cmd:"" help:"Read drills and check the scores of their example runs against those they promise."`
	Debrief drillDebriefCmd `cmd:"" help:"Score a drill from its session log, and say how it went."`
}

func (drillCmd) Help() string {
	return "A drill is a rehearsal in which something goes wrong: the trainee sees and hears what they would on the night, and is scored by what they did.\n\n" + drill.Caution +
		"\n\nExamples:\n\n  drylane drill list\n  drylane drill run fallout --person Robin\n  drylane drill debrief last"
}

type drillListCmd struct {
	Dir string `arg:"" optional:"" help:"A folder of drills; default: those that come with drylane." placeholder:"DIR"`
}

func (drillListCmd) Help() string {
	return "Lists drills by level, from first steps to a full show.\n\nExamples:\n\n  drylane drill list\n  drylane drill list drills/"
}

var drillLevels = [...]string{1: "first steps", 2: "one fault", 3: "hard", 4: "full show"}

func (c drillListCmd) Run(e *env) error {
	fsys := shelf().Shipped
	if c.Dir != "" {
		fsys = os.DirFS(c.Dir)
	}
	list, err := drill.List(fsys)
	if err == nil && len(list) == 0 {
		err = fmt.Errorf("%s: found no drills; wanted files that end in .toml", show.Clean(c.Dir))
	}
	if len(list) == 0 && errors.As(err, new(*fs.PathError)) {
		err = fmt.Errorf("%s: the folder of drills cannot be read: %w", show.Clean(c.Dir), disk.Plain(err))
	}
	if len(list) == 0 {
		return err
	}
	t := tabwriter.NewWriter(e.out, 0, 0, 2, ' ', 0)
	fmt.Fprintln(t, "drill\tlevel\tabout")
	for _, d := range list {
		fmt.Fprintf(t, "%s\t%d %s\t%s\n", d.Name, d.Level, drillLevels[d.Level], d.Title)
	}
	return errors.Join(t.Flush(), err)
}

type drillMakeCmd struct {
	File string `arg:"" help:"The file to write, such as drills/windy.toml." placeholder:"FILE"`
	replaceFlag
}

func (drillMakeCmd) Help() string {
	return "Writes a small drill that runs as it is, to be changed with any editor.\n\nExample:\n\n  drylane drill make drills/windy.toml\n\n" + drill.FormatHelp
}

func (c drillMakeCmd) Run(e *env) error {
	if !strings.HasSuffix(c.File, ".toml") {
		return fmt.Errorf("%s: wanted a name that ends in .toml", show.Shorten(c.File, 60))
	}
	to, err := c.quietWriter(e).Take("drill make", c.File)
	if err != nil {
		return err
	}
	err = to.Write(func(w io.Writer) error {
		_, err := io.WriteString(w, drill.Template)
		return err
	})
	if err != nil {
		return err
	}
	_, err = fmt.Fprintf(e.out, "%s is written. Change it with any editor, then: drylane drill run %s\n", show.Clean(c.File), show.Clean(c.File))
	return err
}

// debriefFlags say where a debrief goes.
type debriefFlags struct {
	HTML string `placeholder:"OUT" help:"Write the debrief as one page of HTML."`
	JSON bool   `help:"Print the debrief as JSON."`
}

type drillDebriefCmd struct {
	Session string `arg:"" help:"The session log of a drill: a path, a name that \"drylane sessions\" lists, or \"last\"." placeholder:"SESSION"`
	debriefFlags
	replaceFlag
}

func (drillDebriefCmd) Help() string {
	return "The score is worked out from the log alone, whenever it is asked for.\n\nExample:\n\n  drylane drill debrief last --html debrief.html"
}

func (c drillDebriefCmd) Run(e *env) error {
	w := c.writer(e)
	if path, err := sessions.Path(c.Session); err == nil {
		w.Keep("the session log itself", path)
	}
	html, err := w.Take("--html", c.HTML)
	if err != nil {
		return err
	}
	log, path, err := e.findSession(c.Session)
	if err != nil {
		return err
	}
	name := filepath.Base(path)
	result, err := drill.FromLog(name, log)
	if err != nil {
		return fmt.Errorf("%s: %w", show.Clean(name), err)
	}
	return e.debrief(result, html, c.JSON)
}

// debrief writes a result's page, where one is wanted, and prints it.
func (e *env) debrief(r *drill.Result, html *disk.Target, asJSON bool) error {
	if err := html.Write(drill.Page{Results: []*drill.Result{r}, Made: time.Now()}.WriteHTML); err != nil {
		return err
	}
	if asJSON {
		return printJSON(e.out, r.Figures())
	}
	return r.WriteText(e.out, e.width())
}
