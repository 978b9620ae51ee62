package inspect

import (
	"drylane/playback/folder"
	"drylane/show/lock"
)

// Recorded gives the SHA-256 of a show's file as it is on record, in lower-case hex:
// that of the soundtrack, which is open, and of any other as the show's lock has it;
// empty where it is on no record.
func Recorded(f *folder.Folder) func(file string) string {
	l, err := readLock(f.Files)
	if l == nil || err != nil { // check says what is wrong with it
		l = new(lock.Lock)
	}
	return func(file string) string {
		if file == f.Show.Soundtrack.File {
			return f.SHA256
		}
		return l.Entry(file).SHA256
	}
}
