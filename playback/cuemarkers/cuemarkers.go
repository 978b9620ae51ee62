// Package cuemarkers takes cue lists from the markers of WAV and MIDI files, and
// lays the cues of a show into its music as markers.
package cuemarkers

import (
	"errors"
	"io"

	"drylane/playback/riff"
	"drylane/show"
	"drylane/show/exchange"
)

const wanted = "a WAV or MIDI file with markers in it"

// Read reads the markers of a WAVE or Standard MIDI file, whichever it is, as a
// table. name is the file's in messages. The error is a show.Problem.
func Read(name string, r io.ReadSeeker) (*exchange.Table, error) {
	head, err := riff.ReadAt(r, 0, 4)
	if err == nil {
		_, err = r.Seek(0, io.SeekStart)
	}
	if err != nil {
		return nil, problem(name, &riff.Error{Found: "a file that cannot be read", Wanted: wanted, Err: err})
	}
	var markers []exchange.Marker
	switch string(head) {
	case "RIFF", "RF64", "BW64":
		markers, err = readWAV(name, r)
	case "MThd":
		markers, err = exchange.ReadSMFMarkers(name, r)
	default:
		err = problem(name, &riff.Error{Found: "a file that is neither WAV nor MIDI", Wanted: wanted})
	}
	if err != nil {
		return nil, err
	}
	return exchange.MarkerTable(name, markers), nil
}

func readWAV(name string, r io.ReadSeeker) ([]exchange.Marker, error) {
	found, err := riff.ReadMarkers(r)
	if err != nil {
		return nil, problem(name, err)
	}
	markers := make([]exchange.Marker, len(found))
	for i, m := range found {
		markers[i] = exchange.Marker{At: m.At, Label: exchange.MarkerText(m.Label), Note: exchange.MarkerText(m.Note), Length: m.Length}
	}
	return markers, nil
}

// Write copies the WAVE file src to dst with a marker at the effect of each cue,
// as riff.WriteMarkers does. name is that of src in messages.
func Write(name string, dst io.Writer, src io.ReadSeeker, cues []show.Cue) (replaced, late int, err error) {
	list := exchange.CueMarkers(cues)
	markers := make([]riff.Marker, len(list))
	for i, m := range list {
		markers[i] = riff.Marker(m)
	}
	replaced, late, err = riff.WriteMarkers(dst, src, markers)
	return replaced, late, problem(name, err)
}

// problem puts the file's name to what is wrong with it; any other error stays
// as it is.
func problem(name string, err error) error {
	var wrong *riff.Error
	if !errors.As(err, &wrong) {
		return err
	}
	p := show.Problem{Severity: show.SeverityStop, Code: show.CodeFile, File: name, Found: wrong.Found, Wanted: wrong.Wanted, Err: wrong.Err}
	if errors.Is(err, riff.ErrNoMarkers) {
		p.Code = show.CodeMissing
	}
	return p
}
