package season

import (
	_ "embed"
	"io"

	"drylane/show/page"
)

//go:embed book.html
var bookHTML string

var bookTemplate = page.New(bookHTML, nil)

// WriteHTML writes the book as one page that needs no other file, has no scripts,
// prints, and reads on a telephone.
func (b *Book) WriteHTML(w io.Writer) error {
	return bookTemplate.Execute(w, struct {
		*Book
		Care string
	}{b, Care})
}
