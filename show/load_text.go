package show

import (
	"bufio"
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"sort"
	"unicode"
	"unicode/utf8"
)

// maxLine bounds one line of a file, in bytes. A reader that meets a longer
// one stops there, so that a file without line breaks is never held whole.
const maxLine = 64 << 10

// maxLines bounds the lines of a file, blank ones included.
const maxLines = 5 * maxCues

// A textFile is a file of the show folder: UTF-8 text, read whole.
type textFile struct {
	name   string
	sha256 string // of the file as it is, in lower-case hex
	data   []byte // without the byte order mark
	starts []int  // offset in data of each line
}

// readText reads the file of at most limit bytes. It notes what is wrong with
// it as a text; false means that it could not be read to its end.
func readText(fsys fs.FS, name string, limit int, f *finder) (*textFile, bool) {
	problem := Problem{Severity: SeverityStop, Code: CodeFile, File: name}
	file, err := fsys.Open(name)
	if err == nil {
		defer file.Close()
		var text *textFile
		if text, err = scanText(file, name, limit, f); err == nil {
			return text, true
		}
		problem.Line = len(text.starts)
	}
	problem.Err = err
	problem.Found, problem.Wanted = fileError(err)
	f.add(problem)
	return nil, false
}

// Reasons for which a file is not read to its end.
var (
	errEmpty    = errors.New("nothing: the file is empty")
	errUTF16    = errors.New("text in UTF-16")
	errLongLine = fmt.Errorf("a line of more than %d KiB", maxLine>>10)
	errLarge    = errors.New("a file that is too large")
)

// fileError words the reason why a file could not be read.
func fileError(err error) (found, wanted string) {
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return "no such file", "it in the show folder"
	case errors.Is(err, fs.ErrPermission):
		return "a file that may not be read", "leave to read it"
	case errors.Is(err, errEmpty):
		return err.Error(), "a text file"
	case errors.Is(err, errUTF16):
		return err.Error(), "UTF-8; save it as such"
	case errors.Is(err, errLongLine), errors.Is(err, errLarge):
		return err.Error(), "a smaller text file"
	}
	return "a file that cannot be read (" + Shorten(err.Error(), 2*quoteLimit) + ")", "a text file"
}

// scanText reads r line by line. The result is never nil.
func scanText(r io.Reader, name string, limit int, f *finder) (*textFile, error) {
	text := &textFile{name: name}
	hash := sha256.New()
	lines := bufio.NewReaderSize(r, maxLine)
	for {
		line, err := lines.ReadSlice('\n')
		hash.Write(line)
		if len(text.starts) == 0 {
			if bytes.HasPrefix(line, []byte("\xFF\xFE")) || bytes.HasPrefix(line, []byte("\xFE\xFF")) {
				return text, errUTF16
			}
			line = bytes.TrimPrefix(line, []byte("\uFEFF"))
		}
		if len(line) > 0 {
			text.starts = append(text.starts, len(text.data))
			text.checkLine(line, f)
		}
		text.data = append(text.data, line...)
		switch {
		case err == bufio.ErrBufferFull:
			return text, errLongLine
		case len(text.data) > limit, len(text.starts) > maxLines:
			return text, errLarge
		case err == io.EOF && len(text.data) == 0:
			return text, errEmpty
		case err == io.EOF:
			text.sha256 = hex.EncodeToString(hash.Sum(nil))
			return text, nil
		case err != nil:
			return text, err
		}
	}
}

// checkLine notes the first character of the line, the last one begun, that does
// not belong in a text file.
func (t *textFile) checkLine(line []byte, f *finder) {
	column := 1
	for i := 0; i < len(line); column++ {
		if c := line[i]; ' ' <= c && c <= '~' {
			i++
			continue
		}
		r, n := utf8.DecodeRune(line[i:])
		found := ""
		switch {
		case r == utf8.RuneError && n == 1:
			found = fmt.Sprintf("the byte 0x%02X, which is not UTF-8", line[i])
		case unicode.IsControl(r) && !isBreak(r):
			found = fmt.Sprintf("the control character U+%04X", r)
		}
		if found != "" {
			f.add(Problem{
				Severity: SeverityStop, Code: CodeText, File: t.name, Line: len(t.starts), Column: column,
				Found: found, Wanted: "text in UTF-8",
			})
			return
		}
		i += n
	}
}

// at returns the place of a byte of the file.
func (t *textFile) at(offset int) place {
	line := sort.SearchInts(t.starts, offset+1)
	return place{line, t.column(line, offset-t.start(line)+1)}
}

// column converts a column of a line from bytes to characters, both from 1.
func (t *textFile) column(line, bytes int) int {
	from := t.start(line)
	to := min(from+max(bytes, 1)-1, len(t.data))
	return 1 + utf8.RuneCount(t.data[from:to])
}

func (t *textFile) start(line int) int {
	if line < 1 || line > len(t.starts) {
		return len(t.data)
	}
	return t.starts[line-1]
}
