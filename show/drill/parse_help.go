package drill

import "fmt"

// Caution is said of every drill, before and after it.
const Caution = "A drill is an exercise. Real holds, cuts and clearances follow the procedures of the licensed operator in charge, local law and the authority having jurisdiction."

// FormatHelp describes the language of drill files for help texts.
var FormatHelp = helpHead + deedHelp() + helpRest

const helpHead = `A drill is a TOML file. Times stand in quotes, as 40.5 or "0:40.500".

  title, level      what it is about; 1 first steps, 2 one fault, 3 a hard one, 4 a full show
  show              the show's folder, beside the file; "demo" is the one that comes with drylane
  until             the music heard when the drill is over; left out: with the show
  briefing          what the trainee is told before
  good, why         told afterwards: what good looks like, and why it is scored so

  safe_wait, crew   after make safe, how long before anybody goes in, "0:40"; who may be sent: a list

  [[ready]]         who answers before the arming, in this order; without one nobody is asked but
                    the field, on the radio
  who, asks, keeps  as in show.toml

  [[mend]]          an error that the show's own cue list has, and that is taken out for the drill
  position, late    whose cues, left out: all; how many seconds late they are in the list; negative = early

  [[plant]]         an error put into the cue list
  position          whose cues; left out: all of them, but for the witness
  late              seconds that their effects come late; negative = early
  grow              how many more with each minute of music
                    a list, such as [-0.3, 0.3]: one of them is drawn
  chance            0.01 to 1, of being there at all

  [[step]]          something that happens in the run
  name              of your own, for after and [[measure]]
  at                "0:40" of music, or ["0:35", "0:50"]: somewhere between
  after, wait       or: after a step, or after opening (of the console, before anything is armed),
                    arm, start, hold (that answers a call), resume, stand down, cut, or
                    new start (a start after a cut); wait "12", or between ["8", "15"], by the wall clock
`

const helpRest = `  from, text        radio: who speaks, and what
  wants             arm, no-go, hold, resume, cut or stand down: what is now wanted of the run; left out: nothing.
                    no-go: what from answered counts no more.
                    arm: the field reports ready; after a cut, the drill goes on with a new start.
                    hold: a cut stops the show as well and is as right.
                    The loss of the device wants a hold, which the console makes by itself
  forbids           "cut", beside wants = "hold": nobody is in danger, and the briefing says so
  position          or module, or effect: whom the deed is about, or who is to be stood down
  chance            0.01 to 1, of coming at all

  [[board]]         something wrong in the field before the arming; the drill then begins with the
                    field board
  device, fault     a module or player, or for "not planned" the name that answers; missing, late, weak link,
                    low battery, open pin, stray pin, wrong file, other content, same number, not planned
  chance            0.01 to 1, of being there at all

  [[measure]]       a number that is better when it is smaller
  what              time to hold, time to resume, time to cut, time to stand down, time to go on,
                    cues after call, early arms, early resumes: these count from a step
                    unclear resumes (with effects up or unknown, or lines unticked), wrong stand downs, wrong first nudge, steps to a tenth, residual,
                    needless nudges, needless holds, needless cuts
                    of the field board, up to the first arming: faults missed, faults misnamed, faults left,
                    time to find, false marks, needless walks
                    of who answers and who is in the field: arms without go, go without word, time to no-go
                    (from a step), early entries, back without word, arms with somebody out
                    after a cut and at the end: torn re-entries, cues left out, duds unmarked, false duds
  step              the step it counts from
  good, pass        up to good earns full marks, up to pass half or, of an answer to a call, up to three quarters
  weight            against the other measures; left out: 1.
                    Needless holds cost a tenth of the marks at most and less than one late hold; all
                    delays less than one resume with something open; a cut only with needless cuts among
                    the measures, which is for briefings that forbid it, and when no call stands

  [[example]]       a run that shows what the marks are for: drylane drill run FILE --auto NAME
  name, seed        such as "good"; what chance is settled by
  script            as for rehearse --auto; "tick all" ticks the checklist of a hold
  score, says       the marks it gets, 0 to 100, and why
`

// deedHelp is what FormatHelp says of the deeds.
func deedHelp() string {
	text, key := "", "do"
	for _, r := range deedTable {
		if r.help != "" {
			text += fmt.Sprintf("  %-18s%-14s%s\n", key, r.do, r.help)
			key = ""
		}
	}
	return text
}

// Template is a drill to start from.
const Template = `# A drill. "drylane drill make --help" tells what each line means.
# Lines that begin with # are remarks; take the # away to use one.

title = "Person in the fallout area"
level = 2
show = "demo"              # or a show's folder, beside this file
until = "1:00"             # of music; left out: the whole show

briefing = """
You run the show. The spotter watches the fallout area.
Arm when the field has reported ready. Hold when anyone reports a person in
the fallout area; when in doubt, hold. Resume only when the spotter gives clear,
nothing is up by the list, and every line of the checklist is ticked. There is no
hurry. While nobody is in danger, the show is not cut."""

good = """
Armed when the field was ready, held within 3 seconds of the call, resumed only on
the clear, with everything ticked."""

why = """
Every cue after the call goes off over a person's head."""

# In the list of the demo show, Slip is late. That is not what this is about.
[[mend]]
position = "Slip"
late = 0.3

# An error in the cue list, for drills with a nudge.
# [[plant]]
# late = [-0.3, 0.3]       # one of them; the whole list
# grow = 0.2               # and more with each minute of music
# [[plant]]
# position = "Jetty"       # one position alone
# late = 0.4
# chance = 0.5

[[step]]
name = "ready"
after = "opening"          # of the console: before anything is armed
wait = "6"
do = "radio"
from = "field"
text = "All positions. Ready."
wants = "arm"

[[step]]
name = "call"
at = ["0:30", "0:40"]      # somewhere between
do = "radio"
from = "spotter"
text = "Spotter. Person in the fallout area. Hold."
wants = "hold"

[[step]]
name = "clear"
after = "hold"
wait = ["12", "18"]
do = "radio"
from = "spotter"
text = "Spotter. Person is out. Fallout area clear."
wants = "resume"

# A position that does not answer, and what would be asked of the trainee.
# [[step]]
# name = "dead module"
# at = "0:45"
# do = "dead"
# module = "Q1"
# [[step]]
# name = "no answer"
# after = "dead module"
# wait = "4"
# do = "radio"
# from = "Quay"
# text = "Quay. No ignition on Q1. Stand us down."
# wants = "stand down"
# position = "Quay"

[[measure]]
what = "early arms"
step = "ready"
good = 0

[[measure]]
what = "time to hold"
step = "call"
good = 3
pass = 5
weight = 2

[[measure]]
what = "cues after call"
step = "call"
good = 4
pass = 8

[[measure]]
what = "early resumes"
step = "clear"
good = 0
weight = 2

[[measure]]
what = "unclear resumes"
good = 0
weight = 2

[[measure]]
what = "time to resume"
step = "clear"
good = 60                  # from when all was ticked and nothing up
pass = 120

[[measure]]
what = "needless holds"
good = 0

[[measure]]
what = "needless cuts"
good = 0

# A run that shows what the marks are for: drylane drill run FILE --auto good
# [[example]]
# name = "good"
# seed = 1
# script = """
# +8 arm
# +2 start
# """
# score = 100
# says = "Held at once, waited for the clear."
`
