package screen

import (
	"fmt"
	"image"
	"image/color"
	"strings"
	"testing"

	"github.com/makiuchi-d/gozxing"
	"github.com/makiuchi-d/gozxing/qrcode"
)

// readSquare reads rows of half blocks as a telephone's camera would: drawn are the dark
// modules, or the light ones.
func readSquare(rows []string, light bool) (string, error) {
	const scale = 4
	w := len([]rune(rows[0]))
	img := image.NewGray(image.Rect(0, 0, w*scale, 2*len(rows)*scale))
	for y, row := range rows {
		for x, r := range []rune(row) {
			for half, on := range []bool{strings.ContainsRune("█▀", r), strings.ContainsRune("█▄", r)} {
				for i := range scale * scale {
					c := color.Gray{0}
					if on == light {
						c.Y = 255
					}
					img.SetGray(x*scale+i%scale, (2*y+half)*scale+i/scale, c)
				}
			}
		}
	}
	bitmap, err := gozxing.NewBinaryBitmapFromImage(img)
	if err != nil {
		return "", err
	}
	found, err := qrcode.NewQRCodeReader().Decode(bitmap, nil)
	if err != nil {
		return "", err
	}
	return found.GetText(), nil
}

// TestSquare: what is drawn is read by a decoder of another's, on a dark ground and on a
// light one, in every size that a link can need.
func TestSquare(t *testing.T) {
	for _, host := range []string{"10.0.0.7", "192.168.100.200", "[fd12:3456:789a:bcde:f012:3456:789a:bcde]"} {
		for _, end := range []string{"safety-7M4Q-X2DK", "position-7M4Q-X2DK.3", "position-7M4Q-X2DK.123"} {
			link := fmt.Sprintf("https://%s:7412/#%s", host, end)
			s, err := NewSquare(link)
			if err != nil {
				t.Fatal(err)
			}
			for _, onLight := range []bool{false, true} {
				rows := s.Rows(onLight)
				if w, h := s.Size(); len(rows) != h || Width(rows[0]) != w {
					t.Errorf("%d rows of %d; wanted %d of %d", len(rows), Width(rows[0]), h, w)
				}
				if got, err := readSquare(rows, !onLight); err != nil || got != link {
					t.Errorf("%s on a light ground (%v): read %q, %v\n%s", link, onLight, got, err, strings.Join(rows, "\n"))
				}
			}
		}
	}
	if _, err := NewSquare(strings.Repeat("x", 5000)); err == nil {
		t.Error("a text of 5000 characters has a square")
	}
}
