package main

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"math/rand/v2"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"drylane/playback/deck"
	"drylane/playback/disk"
	"drylane/playback/instruct"
	"drylane/show"
	"drylane/show/drill"
	"drylane/show/session"
	"drylane/testdata"
	"drylane/tui"
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
	l, err := openDrillShow(d, dir)
	if err != nil {
		return err
	}
	defer l.music.Close()
	ctx, cancel := context.WithCancel(e.ctx)
	defer cancel()
	if p := d.Check(l.show); p.Stop() {
		return p
	}
	l.drill = newExercise(ctx, d, c.Seed)
	l.show.Cues = l.drill.x.Cues(l.show)
	return e.drill(l, c, script)
}

// drill runs the exercise and debriefs it.
func (e *env) drill(l *loaded, c *drillRunCmd, script []show.ScriptStep) error {
	path, err := e.run(l, c.runFlags, script)
	if err != nil {
		return err
	}
	log, err := readLog(path)
	if err != nil {
		return err
	}
	result, err := drill.FromLog(filepath.Base(path), log)
	if err != nil {
		return fmt.Errorf("%s: %w", path, err)
	}
	if err := (debriefFlags{c.HTML, c.JSON}).write(e, result); err != nil || c.JSON {
		return err
	}
	_, err = fmt.Fprintf(e.out, "session log: %s\n", path)
	return err
}

// find returns the drill that is asked for, and where its show is looked for.
func (c *drillRunCmd) find() (d *drill.Drill, dir string, err error) {
	if c.Drill != "any" {
		if c.Among != 0 {
			return nil, "", fmt.Errorf("--among: found the drill %q beside it; wanted it with \"any\" alone", show.Shorten(c.Drill, 60))
		}
		return findDrill(c.Drill)
	}
	list, err := drill.List(shippedDrills())
	if err != nil {
		return nil, "", err
	}
	list = slices.DeleteFunc(list, func(d *drill.Drill) bool { return c.Among != 0 && d.Level != c.Among })
	if len(list) == 0 {
		return nil, "", fmt.Errorf("--among: found %d; wanted 1 to 4", c.Among)
	}
	return findDrill(list[rand.IntN(len(list))].Name)
}

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

func shippedDrills() fs.FS { return testdata.Drills() }

// findDrill reads a drill and returns where its show is looked for: the
// folder of its file, or nothing for one that comes with drylane. name is one of
// those, or a file, or a folder with one drill in it.
func findDrill(name string) (d *drill.Drill, dir string, err error) {
	if name, err = onlyDrill(name); err != nil {
		return nil, "", err
	}
	if strings.HasSuffix(name, ".toml") || strings.ContainsAny(name, `/\`) {
		f, err := disk.OpenText(name, "drill")
		if err != nil {
			return nil, "", err
		}
		defer f.Close()
		d, err = drill.Parse(name, f)
		return d, filepath.Dir(name), err
	}
	f, err := shippedDrills().Open(name + ".toml")
	if err != nil {
		return nil, "", fmt.Errorf("%q is no drill that comes with drylane; \"drylane drill list\" lists them, and the file of another is named with its .toml", show.Shorten(name, 60))
	}
	defer f.Close()
	d, err = drill.Parse(name+".toml", f)
	return d, "", err
}

// onlyDrill returns the file of the one drill in a folder, and name itself when
// it is no folder.
func onlyDrill(name string) (string, error) {
	if _, err := fs.Stat(shippedDrills(), name+".toml"); err == nil {
		return name, nil // whatever lies here by that name
	}
	if info, err := os.Stat(name); err != nil || !info.IsDir() {
		return name, nil
	}
	files, _ := filepath.Glob(filepath.Join(name, "*.toml"))
	files = slices.DeleteFunc(files, func(f string) bool { return filepath.Base(f) == "show.toml" })
	switch len(files) {
	case 0:
		return "", fmt.Errorf("%s: found no drill; wanted a file that ends in .toml", name)
	case 1:
		return files[0], nil
	}
	return "", fmt.Errorf("%s: found %d drills; wanted one of them: %s", name, len(files), strings.Join(files, ", "))
}

// openDrillShow opens the show that a drill is run on.
func openDrillShow(d *drill.Drill, dir string) (*loaded, error) {
	if d.Show == "demo" {
		return openShow("demo", testdata.Demo())
	}
	return openFolder(filepath.Join(dir, filepath.FromSlash(d.Show)))
}

// An exercise is a drill that is being run.
type exercise struct {
	ctx  context.Context
	d    *drill.Drill
	x    *drill.Exercise
	seed uint64
	told *instruct.Log // for instructors
}

func newExercise(ctx context.Context, d *drill.Drill, seed uint64) *exercise {
	return &exercise{ctx, d, d.Draw(seed), seed, new(instruct.Log)}
}

// into makes a rehearsal the exercise.
func (x *exercise) into(h *session.Header, cfg *deck.Config, f runFlags, s *sink) {
	h.Drill = &session.Drill{Name: x.d.Name, Seed: x.seed, File: x.d.Source}
	cfg.Director = drill.NewDirector(x.x, cfg.Plan.Rate)
	cfg.OnEntry = x.told.Add
	if voice := f.speakRadio(x.ctx, s, cfg.Plan.Rate); voice != nil {
		cfg.OnRadio = voice.say
	}
}

// briefing is what the console tells the trainee first.
func (x *exercise) briefing() *tui.Briefing {
	return &tui.Briefing{Text: x.d.Briefing, Foot: drill.Caution}
}

// instructed lets instructors in on a run; stop sends them away. That none can
// come is told and is no reason not to train.
func (x *exercise) instructed(e *env, r *rehearsal) (stop func()) {
	s, err := instruct.Serve(x.ctx, instruct.Config{Program: "drylane " + programVersion(), Show: r.show.Title, Drill: x.d.Title,
		Plan: r.plan, Cues: r.show.Cues, Positions: r.show.Positions, Tapper: r.person.habit(),
		Snapshot: r.deck.Snapshot, Act: r.deck.Instruct, Log: x.told})
	if err != nil {
		fmt.Fprintln(e.errOut, "no instructor can come in: "+cleanLines(err.Error()))
		return func() {}
	}
	return s.Close
}
