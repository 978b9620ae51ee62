package playback

// crcTable is the table of a checksum of so many bits that takes a byte at a
// time, the highest bit first: what each byte makes of a checksum of 0. poly is
// the polynomial without its highest term.
func crcTable[T uint8 | uint16 | uint32](bits int, poly T) (table [256]T) {
	for i := range table {
		crc := T(i) << (bits - 8)
		for range 8 {
			carry := crc >> (bits - 1)
			crc = crc<<1 ^ carry*poly
		}
		table[i] = crc
	}
	return table
}
