package page_test

import (
	"bytes"
	"image"
	"image/png"
	"os"
	"path/filepath"
	"regexp"
	"testing"

	"potbank/internal/browser"
)

// A page with a chart of each kind is opened from a file: on a desk, on a
// telephone and on paper. The blue of the headings shows that the policy lets
// the style through.
func TestInTheBrowser(t *testing.T) {
	file := filepath.Join(t.TempDir(), "page.html")
	if err := os.WriteFile(file, []byte(written(t, every())), 0o644); err != nil {
		t.Fatal(err)
	}
	b := browser.Start(t)
	for _, view := range []struct {
		name  string
		width int
	}{{"desk", browser.Desk}, {"telephone", browser.Telephone}} {
		p := b.Open(t, file, view.width)
		p.Usable()
		shown, err := png.Decode(bytes.NewReader(p.Keep(view.name)))
		if err != nil {
			t.Fatal(err)
		}
		if n := blue(shown); n < 500 {
			t.Errorf("%s: %d pixels in the blue of headings and bars; the style or the drawings are not shown", view.name, n)
		}
		if got := browser.Value[int](p, `[...document.querySelectorAll("figure svg")].filter(e => e.getClientRects().length > 0).length`); got != 10 {
			t.Errorf("%s: %d drawings are shown, want one of each of the 10 charts", view.name, got)
		}
		browser.Value[int](p, `[...document.querySelectorAll("summary")].map(e => e.click()).length`) // open every table
		p.Usable()
	}
	p := b.Open(t, file, browser.Desk)
	if n := len(regexp.MustCompile(`/Type\s*/Page\b`).FindAll(p.Print("paper"), -1)); n < 2 {
		t.Errorf("%d sheets of paper, want the first page and more", n)
	}
}

// blue counts the pixels in the blue of the page.
func blue(shown image.Image) int {
	n := 0
	for y := shown.Bounds().Min.Y; y < shown.Bounds().Max.Y; y++ {
		for x := shown.Bounds().Min.X; x < shown.Bounds().Max.X; x++ {
			if r, g, b, _ := shown.At(x, y).RGBA(); r>>8 == 0x12 && g>>8 == 0x48 && b>>8 == 0x6b {
				n++
			}
		}
	}
	return n
}
