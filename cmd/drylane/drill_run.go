package main

import (
	"context"
	"errors"
	"fmt"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strings"

	"drylane/playback/disk"
	"drylane/playback/drills"
	"drylane/playback/folder"
	"drylane/playback/rehearsal"
	"drylane/playback/sessions"
	"drylane/show"
	"drylane/show/drill"
	"drylane/testdata"
)

type drillRunCmd struct {
	Drill string `arg:"" help:"A drill that \"drylane drill list\" names, the file of one or the folder it lies in, or \"any\": one of those that come with drylane, untold which." placeholder:"NAME|FILE|DIR"`
	Among int    `placeholder:"N" help:"With any: one of the drills of that level, 1 to 4."`
	Seed  uint64 `placeholder:"N" help:"Settles what the drill leaves to chance; the same number gives the same drill. Default: another one each time."`
	runFlags
	HTML string `placeholder:"OUT" help:"Write the debrief as one page of HTML."`
}

func (drillRunCmd) Help() string {
	return "The trainee reads the briefing, runs the show on the console and is scored when the drill is over or left. " +
		"--auto takes a script, or good or poor: the example runs of the drill, which go without sound as fast as they can.\n\n" +
		drill.Caution + "\n\nExamples:\n\n  drylane drill run witness --person Ada\n  drylane drill run fallout --auto good"
}

func (c *drillRunCmd) Run(e *env) error {
	d, dir, err := c.find()
	if err != nil {
		return err
	}
	script, err := c.drive(e, d)
	if err != nil {
		return err
	}
	if strings.HasPrefix(c.Out, "wav:") {
		return errors.New("--out: a drill plays on a device or in silence, not into a file: it may lose the device")
	}
	if c.Seed == 0 {
		c.Seed = 1 + rand.Uint64N(9999)
	}
	l, err := shelf().Open(d, dir)
	if err != nil {
		return err
	}
	defer l.Close()
	w := c.writer(e)
	folder.Keep(w, l.Path, l.Show)
	if _, err := os.Stat(c.Drill); err == nil {
		w.Keep("the drill itself", c.Drill)
	}
	html, err := w.Take("--html", c.HTML)
	if err != nil {
		return err
	}
	ctx, cancel := context.WithCancel(e.ctx)
	defer cancel()
	if p := d.Check(l.Show); p.Stop() {
		return p
	}
	x := rehearsal.NewExercise(ctx, d, c.Seed)
	x.Untold = c.Drill == anyDrill
	x.Plant(l)
	return e.drill(l, c, w, html, script, x)
}

// drill runs the exercise and debriefs it.
func (e *env) drill(l *folder.Folder, c *drillRunCmd, files *disk.Writer, html *disk.Target, script []show.ScriptStep, x *rehearsal.Exercise) error {
	path, err := e.run(l, c.runFlags, files, script, x)
	if err != nil && !errors.As(err, new(*sessions.LostError)) {
		return err
	}
	return errors.Join(e.debriefRun(path, c, html), err)
}

// debriefRun scores a drill that has been run, from its session log.
func (e *env) debriefRun(path string, c *drillRunCmd, html *disk.Target) error {
	log, err := sessions.Read(path)
	if err != nil {
		return err
	}
	result, err := drill.FromLog(filepath.Base(path), log)
	if err != nil {
		return fmt.Errorf("%s: %w", show.Clean(path), err)
	}
	if err := e.debrief(result, html, c.JSON); err != nil || c.JSON {
		return err
	}
	// The score stands last: who has scrolled nowhere sees it.
	_, err = fmt.Fprintf(e.out, "session log: %s\n\n%s. The debrief stands above; drylane drill debrief last shows it again.\n", show.Clean(path), result.Headline())
	return err
}

// anyDrill is the name that stands for one of those that come along, untold which.
const anyDrill = "any"

// find returns the drill that is asked for, and where its show is looked for.
func (c *drillRunCmd) find() (d *drill.Drill, dir string, err error) {
	if c.Drill != anyDrill {
		if c.Among != 0 {
			return nil, "", fmt.Errorf("--among: found the drill %q beside it; wanted it with \"any\" alone", show.Shorten(c.Drill, 60))
		}
		return shelf().Find(c.Drill)
	}
	d, err = shelf().Any(c.Among)
	return d, "", err
}

// shelf is where drills are found.
func shelf() drills.Shelf { return drills.Shelf{Shipped: testdata.Drills(), Demo: testdata.Demo()} }

// drive returns the script that drives the drill; nil when a person does. An
// example run goes in silence, as fast as it can, with its own seed.
func (c *drillRunCmd) drive(e *env, d *drill.Drill) ([]show.ScriptStep, error) {
	for _, x := range d.Examples {
		if x.Name != c.Auto {
			continue
		}
		if c.Out == "auto" {
			c.Out, c.Speed = "silent", "max"
		}
		if c.Seed == 0 {
			c.Seed = x.Seed
		}
		return show.ParseScript(d.Name+", example "+x.Name, strings.NewReader(x.Script))
	}
	if _, err := os.Stat(c.Auto); c.Auto != "" && err != nil {
		return nil, fmt.Errorf("--auto: found no example run %q in the drill, and no script of that name; wanted %s", show.Shorten(c.Auto, 60), examplesOf(d))
	}
	return c.script(e)
}

// examplesOf lists what a drill has to be driven by.
func examplesOf(d *drill.Drill) string {
	var names []string
	for _, x := range d.Examples {
		names = append(names, x.Name)
	}
	return strings.Join(append(names, "the file of a script"), ", ")
}
