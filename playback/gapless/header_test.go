package gapless

import (
	"testing"

	"pgregory.net/rapid"
)

// Frame sizes from the formula of ISO/IEC 11172-3, 2.4.3.1 (144 * bit rate /
// rate, plus padding) and of 13818-3 (72 * bit rate / rate), worked by hand;
// side information of 17 and 32 bytes, 9 and 17 at the lower rates.
func TestHeader(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		h                         header
		rate, bitrate, size, side int
		mono                      bool
	}{
		{0xfffb9044, 44100, 128000, 417, 32, false},
		{0xfffb9244, 44100, 128000, 418, 32, false},
		{0xfffbe4c0, 48000, 320000, 960, 17, true},
		{0xfffb5804, 32000, 64000, 288, 32, false},
		{0xfff38084, 22050, 64000, 208, 17, false},
		{0xfff382c4, 22050, 64000, 209, 9, true},
		{0xfff344c4, 24000, 32000, 96, 9, true},
		{0xffe34084, 11025, 32000, 208, 17, false},
	} {
		if !c.h.usable() || c.h.rate() != c.rate || c.h.bitrate() != c.bitrate || c.h.size() != c.size ||
			c.h.sideSize() != c.side || c.h.mono() != c.mono {
			t.Errorf("%08x: %v %d Hz %d bit/s %d bytes, side %d, mono %v; want %+v", uint32(c.h),
				c.h.usable(), c.h.rate(), c.h.bitrate(), c.h.size(), c.h.sideSize(), c.h.mono(), c)
		}
	}
}

func TestHeaderRefused(t *testing.T) {
	t.Parallel()
	for _, h := range []header{
		0x49443303, // an ID3 tag
		0xfffbf044, // bit rate 15
		0xfffb0044, // free format
		0xfffb9c44, // sample rate 3
		0xfffd9044, // layer II
		0xffeb9044, // version 1
		0xfffb9046, // emphasis 2
	} {
		if h.usable() {
			t.Errorf("%08x taken for a frame", uint32(h))
		}
	}
}

// putBits and bitsAt are inverse, and touch nothing else.
func TestBits(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		b := rapid.SliceOfN(rapid.Byte(), 8, 8).Draw(t, "bytes")
		n := rapid.IntRange(1, 16).Draw(t, "n")
		pos := rapid.IntRange(0, 64-n).Draw(t, "pos")
		v := rapid.IntRange(0, 1<<n-1).Draw(t, "v")
		before := bitString(b)
		putBits(b, pos, n, v)
		after := bitString(b)
		if got := bitsAt(b, pos, n); got != v {
			t.Fatalf("read %d, put %d", got, v)
		}
		if before[:pos] != after[:pos] || before[pos+n:] != after[pos+n:] {
			t.Fatalf("bits around %d+%d changed: %s to %s", pos, n, before, after)
		}
	})
}

// bitString spells b bit by bit.
func bitString(b []byte) string {
	var s []byte
	for _, c := range b {
		for i := 7; i >= 0; i-- {
			s = append(s, '0'+c>>i&1)
		}
	}
	return string(s)
}
