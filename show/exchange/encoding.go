package exchange

import (
	"bytes"
	"fmt"
	"strings"
	"unicode/utf8"

	"drylane/show"

	"golang.org/x/text/encoding"
	"golang.org/x/text/encoding/charmap"
	"golang.org/x/text/encoding/unicode"
)

// Auto, as any setting of a Profile, lets the file decide.
const Auto = "auto"

// Encodings are the names of the character encodings that are read.
var Encodings = []string{"utf-8", "utf-16le", "utf-16be", "latin-1", "windows-1252"}

var decoders = map[string]encoding.Encoding{
	"utf-16le":     unicode.UTF16(unicode.LittleEndian, unicode.IgnoreBOM),
	"utf-16be":     unicode.UTF16(unicode.BigEndian, unicode.IgnoreBOM),
	"latin-1":      charmap.ISO8859_1,
	"windows-1252": charmap.Windows1252,
}

// sniffEncoding finds out how data is encoded: by its byte order mark, by the
// zero bytes that plain letters have in UTF-16, or by its being UTF-8. Anything
// else is one byte a character: Latin-1, or Windows-1252 where it uses the
// codes that are control characters in Latin-1.
func sniffEncoding(data []byte) string {
	switch {
	case bytes.HasPrefix(data, []byte("\xEF\xBB\xBF")):
		return "utf-8"
	case bytes.HasPrefix(data, []byte("\xFF\xFE")):
		return "utf-16le"
	case bytes.HasPrefix(data, []byte("\xFE\xFF")):
		return "utf-16be"
	}
	sample := data[:min(len(data), 4096)]
	var zeros [2]int
	for i, b := range sample {
		if b == 0 {
			zeros[i%2]++
		}
	}
	half := len(sample) / 2
	switch {
	case zeros[1] > half/2 && zeros[0] <= half/10:
		return "utf-16le"
	case zeros[0] > half/2 && zeros[1] <= half/10:
		return "utf-16be"
	case utf8.Valid(data):
		return "utf-8"
	}
	for _, b := range data {
		if 0x80 <= b && b <= 0x9F {
			return "windows-1252"
		}
	}
	return "latin-1"
}

// binaries are the beginnings of files that are often taken for cue lists.
var binaries = []struct{ magic, what string }{
	{"PK\x03\x04", "a packed file, as spreadsheets save their own"},
	{"\xD0\xCF\x11\xE0", "an office document"},
	{"%PDF", "a PDF file"},
	{"RIFF", "a WAV file"},
	{"RF64", "a WAV file"},
	{"BW64", "a WAV file"},
	{"MThd", "a MIDI file"},
	{"ID3", "an MP3 file"},
}

const textWanted = "delimited text such as CSV"

// decode returns data as UTF-8 with every line ended by a line feed, and the
// encoding it was in. want names an encoding or is Auto. The error is a
// show.Problem.
func decode(name string, data []byte, want string) (text, used string, err error) {
	problem := show.Problem{Severity: show.SeverityStop, Code: show.CodeText, File: name, Wanted: textWanted}
	for _, b := range binaries {
		if bytes.HasPrefix(data, []byte(b.magic)) {
			problem.Found = b.what
			if b.what == "a WAV file" || b.what == "a MIDI file" {
				problem.Wanted += ", or --from-markers for the markers in it"
			}
			return "", "", problem
		}
	}
	if used = want; want == "" || want == Auto {
		used = sniffEncoding(data)
	}
	if e := decoders[used]; e != nil {
		if data, err = e.NewDecoder().Bytes(data); err != nil {
			problem.Found, problem.Err = "what is not "+used, err
			return "", used, problem
		}
	}
	data = bytes.TrimPrefix(data, []byte("\uFEFF"))
	text = newlines(string(data))
	if line, column, b, bad := notUTF8(text); bad {
		problem.Line, problem.Column = line, column
		problem.Found, problem.Wanted = fmt.Sprintf("the byte 0x%02X, which is not UTF-8", b), "text in UTF-8, or --encoding"
		return "", used, problem
	}
	if i := strings.IndexByte(text, 0); i >= 0 {
		problem.Line, problem.Column = lineColumn(text, i)
		problem.Found = "a zero byte"
		return "", used, problem
	}
	if strings.TrimSpace(text) == "" {
		problem.Code, problem.Found = show.CodeFile, "nothing: the file is empty"
		return "", used, problem
	}
	return text, used, nil
}

// newlines ends every line with a line feed: CR LF and, in a file without any
// line feed, CR alone.
func newlines(text string) string {
	if !strings.Contains(text, "\r") {
		return text
	}
	text = strings.ReplaceAll(text, "\r\n", "\n")
	if !strings.Contains(text, "\n") {
		text = strings.ReplaceAll(text, "\r", "\n")
	}
	return text
}

func notUTF8(text string) (line, column int, b byte, bad bool) {
	if utf8.ValidString(text) {
		return 0, 0, 0, false
	}
	for i, r := range text {
		if _, n := utf8.DecodeRuneInString(text[i:]); r == utf8.RuneError && n == 1 {
			line, column = lineColumn(text, i)
			return line, column, text[i], true
		}
	}
	return 0, 0, 0, false
}

// lineColumn is where byte i of text stands: line and column in characters,
// both from 1.
func lineColumn(text string, i int) (line, column int) {
	before := text[:i]
	return 1 + strings.Count(before, "\n"), 1 + utf8.RuneCountInString(before[strings.LastIndexByte(before, '\n')+1:])
}
