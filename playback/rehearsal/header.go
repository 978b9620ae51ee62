package rehearsal

import (
	"time"

	"drylane/playback"
	"drylane/playback/folder"
	"drylane/show"
	"drylane/show/callplan"
	"drylane/show/session"
)

// header describes the run that begins now.
func header(f *folder.Folder, plan *show.Plan, out playback.Output, program string) session.Header {
	s := f.Show
	_, silent := out.(playback.Soundless)
	return session.Header{
		Program: program, Began: time.Now(), Title: s.Title, Folder: f.Path,
		CuesSHA256: s.CuesSHA256,
		Soundtrack: session.Soundtrack{File: s.Soundtrack.File, SHA256: f.SHA256, Rate: plan.Rate, Frames: int64(plan.Length)},
		Output:     out.Name(), Silent: silent, LatencyMS: float64(out.Latency().Microseconds()) / 1000,
		GuardMS: plan.Guard.At(plan.Rate).Milliseconds(), LimitMS: s.Console.NudgeLimit.Milliseconds(),
		Lanes: s.Console.Lanes, Together: &plan.Together, ByHand: session.ByHandOf(s.Positions), Called: callplan.NewWatch(s, plan).Positions(), Cues: session.CuesOf(plan, s.Cues),
	}
}
