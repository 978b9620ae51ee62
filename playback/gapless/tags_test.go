package gapless

import (
	"encoding/binary"
	"fmt"
	"slices"
	"testing"
	"unicode/utf16"
)

// id3v2 makes a tag of the given version with frames id, body, id, body ...
func id3v2(version byte, frames [][2]string) []byte {
	var body []byte
	for _, f := range frames {
		n := len(f[1])
		body = append(body, f[0]...)
		switch version {
		case 2:
			body = append(body, byte(n>>16), byte(n>>8), byte(n))
		case 3:
			body = append(binary.BigEndian.AppendUint32(body, uint32(n)), 0, 0)
		default:
			body = append(body, byte(n>>21&127), byte(n>>14&127), byte(n>>7&127), byte(n&127), 0, 0)
		}
		body = append(body, f[1]...)
	}
	body = append(body, make([]byte, 37)...) // padding
	n := len(body)
	head := []byte{'I', 'D', '3', version, 0, 0, byte(n >> 21 & 127), byte(n >> 14 & 127), byte(n >> 7 & 127), byte(n & 127)}
	return append(head, body...)
}

// appended makes an ID3v2.4 tag of tag with a footer, to stand at the end.
func appended(tag []byte) []byte {
	tag = slices.Clone(tag)
	tag[5] |= 0x10
	foot := append([]byte("3DI"), tag[3:10]...)
	return append(tag, foot...)
}

// ape makes an APEv2 tag with or without a header.
func ape(withHeader bool) []byte {
	items := []byte("\x05\x00\x00\x00\x00\x00\x00\x00Title\x00hello")
	edge := func(flags uint32) []byte {
		b := append([]byte("APETAGEX"), 0xd0, 7, 0, 0)
		b = binary.LittleEndian.AppendUint32(b, uint32(len(items)+32))
		b = binary.LittleEndian.AppendUint32(b, 1)
		return append(binary.LittleEndian.AppendUint32(b, flags), make([]byte, 8)...)
	}
	if withHeader {
		return slices.Concat(edge(1<<31|1<<29), items, edge(1<<31))
	}
	return slices.Concat(items, edge(0))
}

func id3v1(title, artist, album string) []byte {
	b := make([]byte, 128)
	copy(b, "TAG")
	copy(b[3:33], title)
	copy(b[33:63], artist)
	copy(b[63:93], album)
	return b
}

func lyrics3v2() []byte {
	body := "LYRICSBEGIN" + "INF00002" + "10" + "LYR00005" + "hello"
	return fmt.Appendf(nil, "%s%06dLYRICS200", body, len(body))
}

func utf16le(s string) string {
	b := []byte{1, 0xff, 0xfe}
	for _, u := range utf16.Encode([]rune(s)) {
		b = binary.LittleEndian.AppendUint16(b, u)
	}
	return string(b)
}

// Whatever tags stand around the stream, the sound and its bounds are the same.
func TestTagsAround(t *testing.T) {
	t.Parallel()
	for _, name := range []string{"cbr-stereo.mp3", "no-tag.mp3"} {
		b := testFile(t, name)
		want := readAll(t, open(t, b))
		texts := id3v2(3, [][2]string{{"APIC", string(make([]byte, 5000))}, {"TIT2", utf16le("Fächer")}, {"TPE1", "\x00Some B\xe4nd"}})
		for _, c := range []struct {
			name                 string
			head, tail           [][]byte
			title, artist, album string
		}{
			{"none", nil, nil, "", "", ""},
			{"id3v2.3", [][]byte{texts}, nil, "Fächer", "Some Bänd", ""},
			{"id3v2.2", [][]byte{id3v2(2, [][2]string{{"TT2", "\x00a"}, {"TP1", "\x00b\x00"}, {"TAL", "\x00c"}})}, nil, "a", "b", "c"},
			{"id3v2.4", [][]byte{id3v2(4, [][2]string{{"TALB", "\x03Ä\x00other"}})}, nil, "", "", "Ä"},
			{"two of id3v2", [][]byte{id3v2(4, nil), texts}, nil, "Fächer", "Some Bänd", ""},
			{"ape in front", [][]byte{ape(true)}, nil, "", "", ""},
			{"junk in front", [][]byte{make([]byte, 3000)}, nil, "", "", ""},
			{"id3v1", nil, [][]byte{id3v1("t", "a", "l")}, "t", "a", "l"},
			{"ape and id3v1", nil, [][]byte{ape(true), id3v1("t", "", "")}, "t", "", ""},
			{"ape without header", nil, [][]byte{ape(false)}, "", "", ""},
			{"lyrics3 and id3v1", nil, [][]byte{lyrics3v2(), id3v1("t", "", "")}, "t", "", ""},
			{"lyrics3 version 1", nil, [][]byte{[]byte("LYRICSBEGINla la laLYRICSEND"), id3v1("t", "", "")}, "t", "", ""},
			{"id3v1 with TAG+", nil, [][]byte{append([]byte("TAG+"), make([]byte, 223)...), id3v1("t", "", "")}, "t", "", ""},
			{"appended id3v2", nil, [][]byte{appended(id3v2(4, nil))}, "", "", ""},
			{"all", [][]byte{texts, ape(true)}, [][]byte{appended(id3v2(4, nil)), lyrics3v2(), ape(true), id3v1("x", "", "al")}, "Fächer", "Some Bänd", "al"},
		} {
			t.Run(name+" "+c.name, func(t *testing.T) {
				head, tail := slices.Concat(c.head...), slices.Concat(c.tail...)
				r := open(t, slices.Concat(head, b, tail))
				i := r.Info()
				if i.AudioStart != int64(len(head)) || i.AudioEnd != int64(len(head)+len(b)) {
					t.Errorf("sound in %d..%d, want %d..%d", i.AudioStart, i.AudioEnd, len(head), len(head)+len(b))
				}
				if i.Title != c.title || i.Artist != c.artist || i.Album != c.album {
					t.Errorf("texts %q %q %q, want %q %q %q", i.Title, i.Artist, i.Album, c.title, c.artist, c.album)
				}
				if len(i.Repairs) > 0 || i.Missing > 0 {
					t.Errorf("damage reported: %+v", i)
				}
				if !slices.Equal(readAll(t, r), want) {
					t.Error("the sound is another")
				}
			})
		}
	}
}

// The encoder's delay counts whoever wrote it and wherever it stands.
func TestDelayOnRecord(t *testing.T) {
	t.Parallel()
	b := testFile(t, "cbr-stereo.mp3")
	want := readAll(t, open(t, b))
	const lame = 36 + 120 // behind all fields of a Xing tag
	smpb := " 00000000 00000240 00000578 00000000000032C8 00000000"
	comment := id3v2(3, [][2]string{{"COMM", "\x00eng" + "iTunSMPB\x00" + smpb}})
	for _, c := range []struct {
		name    string
		file    func() []byte
		kind    string
		encoder string
		known   bool
	}{
		{"another encoder", func() []byte {
			b := slices.Clone(b)
			copy(b[lame:], "Lavf58.1\x00")
			return b
		}, "Info", "Lavf58.1", true},
		{"VBR tag", func() []byte {
			b := slices.Clone(b)
			copy(b[36:], "Xing")
			return b
		}, "Xing", "LAME3.100", true},
		{"tag without quality and table", func() []byte {
			b := slices.Clone(b)
			b[36+7] = 3
			copy(b[36+16:], b[lame:lame+36])
			return b
		}, "Info", "LAME3.100", true},
		{"tag without extension", func() []byte {
			b := slices.Clone(b)
			clear(b[lame : lame+36])
			return b
		}, "Info", "", false},
		{"iTunSMPB comment", func() []byte {
			b := slices.Clone(b)
			clear(b[lame : lame+36])
			return append(slices.Clone(comment), b...)
		}, "Info", "", true},
		{"iTunSMPB comment that does not fit the stream", func() []byte {
			return append(slices.Clone(comment), testFile(t, "no-tag.mp3")...)
		}, "", "", false},
		{"VBRI tag", func() []byte {
			b := slices.Clone(b)
			clear(b[36:400])
			copy(b[36:], "VBRI")
			binary.BigEndian.PutUint32(b[36+14:], 13)
			return b
		}, "VBRI", "", false},
	} {
		t.Run(c.name, func(t *testing.T) {
			r := open(t, c.file())
			i := r.Info()
			if i.TagKind != c.kind || i.Encoder != c.encoder || i.HasDelay != c.known || (i.StartUncertain == 0) != c.known {
				t.Errorf("info %+v, want %q %q %v", i, c.kind, c.encoder, c.known)
			}
			got := readAll(t, r)
			if c.known && !slices.Equal(got, want) {
				t.Error("the music is not in its place")
			}
			if !c.known && len(got)%576 != 0 {
				t.Errorf("%d frames: something is taken off", len(got))
			}
		})
	}
}
