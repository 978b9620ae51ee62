package gapless

import (
	"slices"
	"testing"
)

// TestLeads: what does not fit into a frame stands at the end of the one before, as
// far as main_data_begin can say: 9 bits in MPEG-1, 8 in MPEG-2 (ISO/IEC 11172-3,
// 2.4.1.7; 13818-3, 2.4.1.7). By hand: the longest frame holds 1045-4-32 = 1009
// bytes at 44.1 kHz in stereo and 522-4-17 = 501 at 22.05 kHz.
func TestLeads(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		h          header
		data, lead []int
	}{
		// 2000 bytes want 991 in the frame before, of which 511 can be told; with
		// them, 800 are 302 too many, and those fit before.
		{0xfffb9044, []int{100, 500, 800, 2000}, []int{0, 0, 302, 511}},
		{0xfff38084, []int{100, 400, 900}, []int{0, 154, 255}},
		// Exactly full, and one byte more.
		{0xfffb9044, []int{1009, 1009}, []int{0, 0}},
		{0xfffb9044, []int{0, 1010}, []int{0, 1}},
		// No more can be moved than there is; silence moves nothing.
		{0xfffb9044, []int{300, 1009, 2000}, []int{0, 511, 511}},
		{0xfffb9044, []int{silent, 2000}, []int{0, 511}},
		{0xfffb9044, []int{2000, silent, 800}, []int{511, 0, 0}},
	} {
		ix := index{ref: c.h}
		for _, n := range c.data {
			ix.entries = append(ix.entries, entry{data: uint16(n)})
		}
		ix.layOut()
		var got []int
		for _, e := range ix.entries {
			got = append(got, int(e.lead))
		}
		if !slices.Equal(got, c.lead) {
			t.Errorf("%08x: data of %v bytes lead by %v; want %v", uint32(c.h), c.data, got, c.lead)
		}
	}
}
