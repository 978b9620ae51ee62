package check

import (
	"fmt"
	"math"
	"time"

	"drylane/show/timebase"
	"drylane/show/words"
)

// musicRule looks at the soundtrack as a file.
func musicRule(f *Facts, c *collector) {
	m := f.Music
	switch {
	case m.File == "":
		return // the reader of show.toml has said so
	case m.Missing:
		c.stop(CodeSoundtrackMissing, m.File, "there is no such file in the show folder", "put the soundtrack there, or change soundtrack.file in show.toml")
		return
	}
	if want := f.Show.Soundtrack.SHA256; want != "" && m.SHA256 != "" && want != m.SHA256 {
		c.stop(CodeSoundtrackChanged, m.File,
			fmt.Sprintf("it is not the file that show.toml was written for (SHA-256 %.12s..., wanted %.12s...)", m.SHA256, want),
			"put the right file there; if the new one is right, change soundtrack.sha256 and rehearse again")
	} else if want == "" {
		c.note(CodeUnpinned, m.File, "show.toml does not pin it by its hash, so nobody would see it change",
			fmt.Sprintf("add under [soundtrack]: sha256 = %q", m.SHA256))
	}
	if m.Open != "" {
		c.stop(CodeSoundtrackOpen, m.File, m.Open, "export the soundtrack again")
		return
	}
	if m.Cut != "" {
		c.stop(CodeSoundtrackCut, m.File, m.Cut, "copy or export it again")
	}
	if m.Unstated != "" {
		c.note(CodeSoundtrackCut, m.File, m.Unstated, "compare its length with the master's")
	}
	if m.Odd != "" {
		c.warn(CodeSoundtrackOdd, m.File, m.Odd, "export it as WAV or FLAC, and give every player that file")
	}
	if m.StartUncertain > 0 {
		c.warn(CodeStartUncertain, m.File,
			fmt.Sprintf("start uncertain by up to %d ms: its encoder left no note of its delay", ms(m.StartUncertain)),
			"export it as WAV or FLAC, or as MP3 with a gapless tag, and compare")
	}
}

// outOfPolarity is the correlation of left and right below which one of them
// is taken for turned over: music is hardly ever below 0 as a whole (common
// practice, no source).
const outOfPolarity = -0.5

// levelRule looks at what a pass over the soundtrack found.
func levelRule(f *Facts, c *collector) {
	m, l := f.Music, f.Music.Level
	if l == nil {
		return
	}
	if l.Damaged > 0 {
		c.warn(CodeSoundtrackDamage, m.File, fmt.Sprintf("%s cannot be decoded and %s silent, the first at %s",
			words.Count(l.Damaged, "place"), are(l.Damaged), timebase.ClockMillis(l.FirstDamage)), "export it again from the master")
	}
	if l.Altered != "" {
		c.warn(CodeSoundtrackAltered, m.File, l.Altered, "export it again from the master, and listen to it")
	}
	if l.Clips > 0 && l.AtLeast {
		c.warn(CodeClipping, m.File, fmt.Sprintf("it reaches full scale in %s, the first at %s, the longest of %s: what it has above is cut off in decoding, here and in players",
			words.Count(l.Clips, "place"), timebase.ClockMillis(l.FirstClip), words.Count(int(min(l.LongestClip, math.MaxInt32)), "sample")),
			"export the master at a lower level, by 1 dB or more, and encode it again")
	} else if l.Clips > 0 {
		c.warn(CodeClipping, m.File, fmt.Sprintf("it is clipped in %s, the first at %s, the longest of %s",
			words.Count(l.Clips, "place"), timebase.ClockMillis(l.FirstClip), words.Count(int(min(l.LongestClip, math.MaxInt32)), "sample")),
			"export the master at a lower level; turning the copy down mends nothing")
	}
	left, right := l.Silent[0], l.Silent[1]
	if m.Channels < 2 {
		right = left
	}
	switch {
	case left && right:
		c.stop(CodeSilentChannel, m.File, "there is no sound in it", "export it again")
	case left, right:
		c.warn(CodeSilentChannel, m.File, "its "+side(left)+" channel is silent", "export it again with both channels, or as mono")
	case m.Channels == 2 && l.Correlation < outOfPolarity:
		c.warn(CodePolarity, m.File, fmt.Sprintf("left and right work against each other (correlation %.2f): one of them has its polarity reversed", l.Correlation),
			"turn one channel's polarity over in the master: in mono, and between the loudspeakers, the music is lost")
	}
}

func side(left bool) string {
	if left {
		return "left"
	}
	return "right"
}

func are(n int) string {
	if n == 1 {
		return "is"
	}
	return "are"
}

// lengthSlack is how much longer or shorter a companion may be. A lossy file
// without a gapless tag carries up to about 50 ms that are not music.
const lengthSlack = 100 * time.Millisecond

// companionRule looks at the tracks and the files of the players.
func companionRule(f *Facts, c *collector) {
	for _, a := range f.Companions {
		switch {
		case a.Missing:
			c.warn(CodeCompanionMissing, a.File, "show.toml names it and it is not in the show folder", howToMake(f, a.File))
			continue
		case a.Open != "":
			c.warn(CodeCompanionOpen, a.File, a.Open, "make it from the master again")
			continue
		case a.Cut != "":
			c.warn(CodeCompanionLength, a.File, a.Cut, "copy or make it again")
		case a.Odd != "":
			c.warn(CodeSoundtrackOdd, a.File, a.Odd, "make it from the master again, as WAV or FLAC")
		}
		if !f.Music.opened() || !a.opened() {
			continue
		}
		if a.Rate != f.Music.Rate {
			c.warn(CodeRate, a.File, fmt.Sprintf("it runs at %d Hz and the soundtrack at %d Hz", a.Rate, f.Music.Rate),
				"use one rate for all files: a player set to the wrong one plays too fast or too slow")
		}
		if apart := a.Length - f.Music.Length; a.Cut == "" && apart.Abs() > lengthSlack {
			c.warn(CodeCompanionLength, a.File, fmt.Sprintf("it lasts %s, %.3f s %s than the soundtrack",
				timebase.ClockMillis(a.Length), apart.Abs().Seconds(), longer(apart)), "make it from this soundtrack again")
		}
	}
}

// howToMake says how a missing companion comes about: tracks makes those that
// show.toml describes.
func howToMake(f *Facts, file string) string {
	for _, t := range f.Show.Tracks {
		if t.File == file && (t.Left != "" || t.Right != "") {
			return "make it: drylane tracks DIR --to DIR, with the show folder as DIR"
		}
	}
	return "make it from the master, or take it out of show.toml"
}

func longer(d time.Duration) string {
	if d > 0 {
		return "longer"
	}
	return "shorter"
}

func ms(d time.Duration) int64 { return d.Round(time.Millisecond).Milliseconds() }
