package playback

import (
	"errors"
	"io"
	"io/fs"

	"drylane/playback/gapless"
	"drylane/show/timebase"
)

// An mp3File is a gapless.Reader that describes itself as the other formats do.
type mp3File struct{ *gapless.Reader }

func openMP3(f io.ReadSeeker) (decoder, error) {
	r, err := gapless.NewReader(f)
	var system *fs.PathError
	switch {
	case errors.As(err, &system):
		return nil, unreadable(err)
	case err != nil:
		return nil, &OpenError{Found: "is not an MP3 file that can be played, nor WAV, FLAC or Ogg Vorbis", Err: err}
	}
	return mp3File{r}, nil
}

func (m mp3File) describe() Info {
	g := m.Reader.Info()
	i := Info{
		Format: "MP3", Rate: g.Rate, Channels: g.Channels, Frames: timebase.Frame(m.Len()),
		Title: tagText(g.Title), Artist: tagText(g.Artist),
		StartUncertain: timebase.Frame(g.StartUncertain), MP3: &g,
	}
	if g.Missing > 0 {
		i.Truncated = cutShort(i.Frames+timebase.Frame(g.Missing), i.Frames, i.Rate)
	}
	for _, r := range g.Repairs {
		if r.Frames > 0 {
			i.addDamage(Damage{At: timebase.Frame(r.Start), Frames: timebase.Frame(r.Frames), Reason: r.Reason})
		}
	}
	return i
}
