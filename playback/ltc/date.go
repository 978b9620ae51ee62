package ltc

import "time"

// unknownZone is the code for a time zone that has no code of its own.
const unknownZone = 0x38

// zones are the codes of the time zones, in minutes east of UTC (SMPTE ST 309,
// table of time zone codes, as libltc 1.3.2 writes it).
var zones = zoneCodes()

func zoneCodes() map[int]UserBits {
	codes := map[int]UserBits{12*60 + 45: 0x32}
	for code, hour := range map[UserBits]int{
		0x00: 0, 0x01: -1, 0x02: -2, 0x03: -3, 0x04: -4, 0x05: -5, 0x06: -6, 0x07: -7, 0x08: -8, 0x09: -9,
		0x10: -10, 0x11: -11, 0x12: -12, 0x13: 13, 0x14: 12, 0x15: 11, 0x16: 10, 0x17: 9, 0x18: 8, 0x19: 7,
		0x20: 6, 0x21: 5, 0x22: 4, 0x23: 3, 0x24: 2, 0x25: 1,
	} {
		codes[60*hour] = code
	}
	for i := range UserBits(6) {
		codes[-30-60*int(i)] = 0x0A + i  // -00:30 to -05:30
		codes[-390-60*int(i)] = 0x1A + i // -06:30 to -11:30
		codes[690-60*int(i)] = 0x2A + i  // +11:30 to +06:30
		codes[330-60*int(i)] = 0x3A + i  // +05:30 to +00:30
	}
	return codes
}

// DateBits returns the date and time zone of t in the YYMMDD form of SMPTE
// ST 309: day, month and year as BCD in binary groups 1-2, 3-4 and 5-6, the
// time zone in 7-8. The flag BGF2 tells a reader so.
func DateBits(t time.Time) UserBits {
	_, offset := t.Zone()
	zone, known := zones[offset/60]
	if !known || offset%60 != 0 {
		zone = unknownZone
	}
	bcd := func(v int) UserBits { return UserBits(v/10<<4 | v%10) }
	return bcd(t.Day()) | bcd(int(t.Month()))<<8 | bcd(t.Year()%100)<<16 | zone<<24
}

// Date reads the day that DateBits wrote, in the years 2000 to 2099; ok is
// false if there is no such day.
func (u UserBits) Date() (year int, month time.Month, day int, ok bool) {
	var v [3]int
	for i := range v {
		units, tens := int(u>>(8*i)&15), int(u>>(8*i+4)&15)
		if units > 9 || tens > 9 {
			return 0, 0, 0, false
		}
		v[i] = 10*tens + units
	}
	t := time.Date(2000+v[2], time.Month(v[1]), v[0], 0, 0, 0, 0, time.UTC)
	year, month, day = t.Date()
	ok = year == 2000+v[2] && int(month) == v[1] && day == v[0]
	return year, month, day, ok
}
