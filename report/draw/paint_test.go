package draw

import (
	"bytes"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"codeberg.org/go-pdf/fpdf"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"golang.org/x/image/font/gofont/gobold"
	"golang.org/x/image/font/gofont/goregular"

	"arctally/report/sheet/sheettest"
)

// sheetOfPaper is a page of a file that can be read without unpacking it.
func sheetOfPaper() *fpdf.Fpdf {
	pdf := fpdf.New("P", "mm", "A4", "")
	pdf.SetCompression(false)
	pdf.AddUTF8FontFromBytes(Face, "", slices.Clone(goregular.TTF))
	pdf.AddUTF8FontFromBytes(Face, "B", slices.Clone(gobold.TTF))
	pdf.AddPage()
	return pdf
}

// inked is what stands on the first page.
func inked(t *testing.T, pdf *fpdf.Fpdf) string {
	t.Helper()
	var b bytes.Buffer
	require.NoError(t, pdf.Output(&b))
	_, stream, ok := strings.Cut(b.String(), "stream\n")
	require.True(t, ok)
	stream, _, _ = strings.Cut(stream, "endstream")
	return stream
}

func square10(shapes ...Shape) *Drawing {
	return &Drawing{Box: Box{whole(0), whole(0), whole(10), whole(10)}, Layers: []Layer{shapes}}
}

// A drawing of 10 units in a place of 10 mm: a unit is 72/25.4 = 2.835 points, and
// the page is 841.89 points high, counted from below.
func TestPaint_PlacesAndInks(t *testing.T) {
	style := ParseStyle(".box{fill:#ff0000}.line{fill:none;stroke:#00ff00;stroke-width:2;stroke-dasharray:3 1}")
	pdf := sheetOfPaper()
	d := square10(Rect{Class: "box", X: whole(1), Y: whole(2), Width: whole(3), Height: whole(4)},
		Path{Class: "line", Outline: Outline{}.move(whole(0), whole(0)).line(whole(10), whole(10))})
	require.NoError(t, d.Paint(pdf, style, 20, 30, 10, 10))
	page := inked(t, pdf)
	assert.Contains(t, page, "1.000 0.000 0.000 rg", "red")
	assert.Contains(t, page, "59.53 751.18 m\n68.03 751.18 l\n68.03 739.84 l\n59.53 739.84 l\nh\nf", "from 21 mm right and 32 mm down, 3 by 4 mm")
	assert.Contains(t, page, "5.67 w\n0.000 1.000 0.000 RG", "two units wide, green")
	assert.Contains(t, page, "[8.50 2.83] 0.00 d", "dashes in units, too")
	assert.Contains(t, page, "56.69 756.85 m\n85.04 728.50 l", "the diagonal")
}

// What is wider than its place is smaller, and stands in its middle.
func TestPaint_FitsItsPlace(t *testing.T) {
	pdf := sheetOfPaper()
	d := square10(Path{Class: "line", Outline: Outline{}.move(whole(0), whole(0)).line(whole(10), whole(0))})
	require.NoError(t, d.Paint(pdf, ParseStyle(".line{stroke:#000}"), 0, 0, 30, 10))
	assert.Contains(t, inked(t, pdf), "28.35 841.89 m\n56.69 841.89 l", "from 10 mm to 20 mm")
	assert.Equal(t, 5.0, (&Drawing{Box: Box{Width: whole(40), Height: whole(10)}}).HeightFor(20))
}

func TestPaint_Labels(t *testing.T) {
	style := ParseStyle("svg text{font:10px sans-serif;fill:#0000ff}.end{text-anchor:end}.mid{text-anchor:middle}.halo{paint-order:stroke;stroke:#fff;stroke-width:3px}")
	at := func(class string) float64 {
		pdf := sheetOfPaper()
		d := square10(Label{Class: class, X: whole(5), DX: whole(1), Y: whole(5), DY: whole(-1), Words: "mm"})
		require.NoError(t, d.Paint(pdf, style, 0, 0, 10, 10))
		page := inked(t, pdf)
		assert.Contains(t, page, "0.000 0.000 1.000 rg")
		if class == "halo" {
			assert.Contains(t, page, "1 Tr")
		} else {
			assert.NotContains(t, page, "1 Tr")
		}
		place := regexp.MustCompile(`BT (-?[\d.]+) ([\d.]+) Td`).FindStringSubmatch(page)
		require.Equal(t, "830.55", place[2], "4 mm down")
		x, err := strconv.ParseFloat(place[1], 64)
		require.NoError(t, err)
		return x
	}
	assert.InDelta(t, 17.01, at(""), 0.005, "6 mm right")
	assert.Equal(t, at(""), at("halo"))
	start, middle, end := at(""), at("mid"), at("end")
	assert.Less(t, end, middle)
	assert.Less(t, middle, start)
}

func TestPaint_Hatches(t *testing.T) {
	style := ParseStyle(":root{--ink:#111111;--paper:#ffffff;--grey:#888888}.a{fill:url(#hatch)}.b{fill:url(#unseen)}")
	paint := func(class string) string {
		pdf := sheetOfPaper()
		require.NoError(t, square10(Rect{Class: class, X: whole(0), Y: whole(0), Width: whole(7), Height: whole(7)}).Paint(pdf, style, 0, 0, 10, 10))
		return inked(t, pdf)
	}
	lines, dots := paint("a"), paint("b")
	assert.Contains(t, lines, "W n", "only within the outline")
	assert.Contains(t, lines, "\n0.533 G\n", "grey lines")
	assert.Equal(t, 2, strings.Count(lines, " l S"), "a square of 7 is crossed by the lines 0 and 7 of its diagonal's 9.9")
	assert.Contains(t, dots, "\n0.067 g\n", "dots of ink")
	assert.Equal(t, 9, strings.Count(dots, "c\nf\n"), "at the corners of a net of 7, one beyond the edge")
}

// What is written after a hatch has the colour that the file has then, not that of the hatch:
// words in ink after dots in ink were written in that of the field before them.
func TestPaint_HatchLeavesColoursAsTheyWere(t *testing.T) {
	style := ParseStyle(".unseen{fill:url(#unseen)}.short{fill:url(#short)}")
	for _, class := range []string{"unseen", "short"} {
		pdf := sheetOfPaper()
		pdf.SetFillColor(200, 0, 0)
		pdf.SetDrawColor(0, 100, 0)
		pdf.SetLineWidth(3)
		require.NoError(t, square10(Rect{Class: class, X: whole(1), Y: whole(2), Width: whole(3), Height: whole(4)}).Paint(pdf, style, 20, 30, 10, 10))
		r, g, b := pdf.GetFillColor()
		assert.Equal(t, []int{200, 0, 0}, []int{r, g, b}, class)
		r, g, b = pdf.GetDrawColor()
		assert.Equal(t, []int{0, 100, 0}, []int{r, g, b}, class)
		assert.InDelta(t, 3, pdf.GetLineWidth(), 0, class)
	}
}

func TestPaint_WhatAStyleCannotSayIsAnError(t *testing.T) {
	for want, css := range map[string]string{
		`"red" is no colour`:                      ".x{fill:red}",
		`"#12" is no colour`:                      ".x{fill:none;stroke:#12}",
		`no hatch is called "moss"`:               ".x{fill:url(#moss)}",
		"is too large for the hatch \"doubtful\"": ".x{fill:url(#doubtful)}",
	} {
		d := square10(Rect{Class: "x", X: whole(0), Y: whole(0), Width: tenth(farthest), Height: tenth(farthest)})
		require.ErrorContains(t, d.Paint(sheetOfPaper(), ParseStyle(css), 0, 0, 10, 10), want)
	}
}

func FuzzStyle(f *testing.F) {
	for _, css := range []string{someCSS, "", "@media{", ":root{--ink:#fff", ".pin{stroke-dasharray:1 NaN;stroke-width:1e999}", "svg text{font:0px x;font-weight:x}"} {
		f.Add(css)
	}
	pdf := sheetOfPaper() // fonts are slow to read
	end := End(sheettest.New()).Drawing
	f.Fuzz(func(t *testing.T, css string) {
		if len(css) > 1000 {
			return
		}
		_ = end.Paint(pdf, ParseStyle(css), 20, 20, 100, 100) // an error is an answer; a panic is none
		assert.False(t, pdf.Err())
		assert.Equal(t, 1, pdf.PageNo(), "a drawing turns no page")
	})
}
