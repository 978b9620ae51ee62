package show

// New writes the files of a small show to start from: show.toml, with every
// key in it or in a comment, and cues.csv. write is called once for each; its
// error ends New. The show names a soundtrack.wav of at least half a minute,
// which is the caller's to add.
func New(write func(name string, data []byte) error) error {
	if err := write(showFile, []byte(newShow)); err != nil {
		return err
	}
	return write("cues.csv", []byte(newCues))
}

const newShow = `# In a show folder are this file, the cue list and the soundtrack it names.
# Lines that begin with # are comments; take the # away to use one.

title = "A new show"
cues = "cues.csv"
# field_devices = 3       # modules and players that should answer in the field

[soundtrack]
file = "soundtrack.wav"    # WAV, FLAC, Ogg Vorbis or MP3, in this folder
# sha256 = "0000000000000000000000000000000000000000000000000000000000000000"

[console]
guard = "150ms"            # a cue this close is committed: no nudge moves it
nudge_limit = "10s"        # at most 10s either way
lanes = "position"         # or "module" or "effect"
# together = 6             # so many cues may a nudge make due at once, beyond what the
                           # list fires together, before it must be asked for twice
# count_in = 4             # beats counted before a resume
checklist = [              # ticked off during a hold, before resuming
  "Nobody in the field, nobody goes in",
  "Spotter sees nothing up or burning",
  "Cause gone; any repair needs a cut",
  "All positions answer ready",
]

# Who is asked before the show is armed, in this order, and what. Left out, the list is
# that of common practice (radio check, field, spotter, audience line, weather, sound,
# safety officer); written down, it is this one and no other.
# [[ready]]
# who = "Spotter"
# asks = "Nobody in the fallout area?"
# [[ready]]
# who = "Fire watch"
# asks = "Extinguishers at hand, way free?"
# keeps = true             # the answer stands when somebody has been in the field since

# After make safe: how long before anybody goes in (from memory; the operator in charge
# sets it, by local rules), and who may be sent. Left out: one for each position.
# [safe]
# wait = "15m"
# crew = ["Ada", "Ben"]

# An early tone in the soundtrack with one small cue on it.
[witness]
at = "5.000"
cue = "1"

# Where the cues are fired from. Leave all positions out to take the names
# from the cue list as they come.
[[position]]
name = "Left"
distance_m = 90            # to the main audience
bearing = -20              # degrees clockwise from the audience's straight ahead

[[position]]
name = "Right"
distance_m = 90
bearing = 20
# hand_fired = true        # by a person, on spoken calls

# People nearer to shells than the rule of thumb are a stop: the show cannot be
# armed. Where the licensed operator in charge decides otherwise, say who and
# why; it stays a warning, on the screen too.
# [[decided]]
# finding = "separation"
# position = "Left"
# by = "the operator in charge"
# why = "that side of the lawn stays closed"

# Modules may be left out in the same way.
[[module]]
name = "M1"
pins = 16
# min_gap = "50ms"         # shortest time between two cues

[[module]]
name = "M2"
pins = 16

# What the speed of sound is worked out from.
# [[speaker]]
# name = "Main"
# distance_m = 20
# bearing = 0
# delay = "0ms"
#
# [air]
# temperature_c = 15

# How the field is reached by radio, for a plan of the links (drylane check).
# [radio]
# mhz = 868
# power_dbm = 10             # sent
# receiver_dbm = -100        # the least that the receiver takes: its data sheet
# gain_db = 0                # both antennas together, less their cables
# console_height_m = 1.5     # of the antennas over the ground
# field_height_m = 0.3
# shadow_db = 8              # how much what stands in the way may add or take
# distance_m = 0             # where the console's antenna stands
# bearing = 0

# What the devices of the field run on, for a plan of the batteries.
# [battery]
# chemistry = "lead"         # or lithium, nickel
# capacity_ah = 7            # on its label
# health = 0.8               # what age has left of that
# idle_a = 0.05              # drawn when switched on
# armed_a = 0.2
# firing_a = 10              # by an ignition, for pulse
# pulse = "50ms"
# on_site = "6h"             # switched on before the show
# longest_hold = "15m"

# What a rehearsal with --crew does when somebody's machine is not heard of any more.
# [crew]
# lost = "by role"           # hold for safety, the spotter and positions; or hold, go on

# A companion file made from the soundtrack for the field, by drylane tracks.
# [[track]]
# file = "timecode.wav"
# left = "music"             # or music left, calls Beacon, pips Beacon, tone 1000 Hz
# right = "timecode 25 01:00:00:00 -18 dB"

# How the show follows timecode of a player that somebody else runs: rehearse
# --follow timecode@WHERE. Without it the timecode of the first track is followed.
# [follow]
# from = "01:00:00:00"       # the label at the first frame of the soundtrack
# rate = "25"                # else found from the code
# carry = "200ms"            # goes on so long without hearing it, and then holds

# The language in which a hand-fired position is called; its phrases can be
# changed: drylane print --help.
# [calls]
# language = "de"

# A playback device in the field and the file it must carry.
# [[player]]
# name = "Desk"
# file = "timecode.wav"
`

const newCues = `cue,effect_at,prefire,position,module,pin,effect,caliber_mm,burn,note
1,5.000,0.000,Left,M1,1,small comet,30,1.500,witness: seen with the tone
2,10.000,0.000,Left,M1,2,silver mine,50,2.000,
3,10.000,0.000,Right,M2,1,silver mine,50,2.000,
4,14.000,2.200,Left,M1,3,red peony shell,75,2.500,
5,14.000,2.200,Right,M2,2,red peony shell,75,2.500,
6,18.500,0.000,Left,M1,4,gold fountain,,6.000,
7,24.000,2.800,Right,M2,3,brocade crown shell,100,4.000,last cue
`
