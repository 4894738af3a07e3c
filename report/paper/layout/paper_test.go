package layout

import (
	"bytes"
	"fmt"
	"math"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

const someCSS = `:root{--ink:#12161b;--paper:#fff}
/* a comment { with braces } */
.mark{fill:var(--paper);stroke:var(--ink);stroke-width:2}
.mark.full{fill:#8c2a00}
.sign.full path,.other{fill:#080}
svg text{font:14px sans-serif;fill:var(--ink)}
svg text.no{font-size:9.5px;font-weight:700;text-anchor:middle;paint-order:stroke;stroke:#fff;stroke-width:3px}
.gap{fill:url(#hatch)}
.a:hover,.b>.c{fill:#f00}
@media print{.mark{fill:#f0f}}
@page{margin:1mm}
.last{fill:#123456}`

func someDocument() *Document { return New(Options{Style: ParseStyle(someCSS), Title: "t", Foot: "f"}) }

func TestParseStyle(t *testing.T) {
	s := ParseStyle(someCSS)
	of := func(property string, own int, tags string, classes ...string) string {
		return s.value(strings.Fields(tags), classes, own, property)
	}
	assert.Equal(t, "#fff", of("fill", 0, "svg path", "mark"), "a name is looked up; what is for print alone is not taken")
	assert.Equal(t, "#8c2a00", of("fill", 0, "svg path", "mark", "full"), "more classes win")
	assert.Equal(t, "#080", of("fill", 2, "svg path", "sign", "full"), "classes around count")
	assert.Empty(t, of("fill", 1, "svg path", "mark"), "but a rule about what is around is not about this")
	assert.Equal(t, "9.5px", of("font-size", 0, "svg text", "no"))
	assert.Equal(t, "#123456", of("fill", 0, "svg path", "last"))
	assert.Empty(t, of("fill", 0, "svg path", "c"))
	light, ok := s.Luminance("mark")
	assert.True(t, ok)
	assert.InDelta(t, 1, light, 1e-9)
	_, ok = s.Luminance("gap")
	assert.False(t, ok)
}

// sketch keeps the strokes of a path.
type sketch struct{ strokes []string }

func (s *sketch) move(x, y float64) { s.add("M", x, y) }
func (s *sketch) line(x, y float64) { s.add("L", x, y) }
func (s *sketch) close()            { s.add("Z") }

func (s *sketch) curve(_, _, _, _, x, y float64) { s.add("C", x, y) }

func (s *sketch) add(letter string, at ...float64) {
	for _, v := range at {
		letter += fmt.Sprintf(" %.3f", v+0) // no -0
	}
	s.strokes = append(s.strokes, strings.ReplaceAll(letter, "-0.000", "0.000"))
}

func TestTrace(t *testing.T) {
	for data, want := range map[string]string{
		"":                                      "",
		"M1 2L3 4H5V6h-1v-2Z":                   "M 1.000 2.000|L 3.000 4.000|L 5.000 4.000|L 5.000 6.000|L 4.000 6.000|L 4.000 4.000|Z",
		"M0 0 1 1 2 2Zl1 0":                     "M 0.000 0.000|L 1.000 1.000|L 2.000 2.000|Z|L 1.000 0.000",
		"M10 0A10 10 0 0 1 0 10":                "M 10.000 0.000|C 0.000 10.000",
		"M10 0A10 10 0 1 0 0 10":                "M 10.000 0.000|C 0.000 -10.000|C -10.000 0.000|C 0.000 10.000",
		"M2 10a8 8 0 1 0 16 0a8 8 0 1 0 -16 0Z": "M 2.000 10.000|C 10.000 18.000|C 18.000 10.000|C 10.000 2.000|C 2.000 10.000|Z",
	} {
		var s sketch
		require.NoError(t, trace(data, &s), data)
		assert.Equal(t, want, strings.Join(s.strokes, "|"), data)
	}
	for _, data := range []string{"1 2", "M1", "M1 2Q3 4 5 6", "M1 x", "M1e400 2", "MNaN 1", "L"} {
		require.Error(t, trace(data, &sketch{}), data)
	}
}

// An arc of our curves keeps to its circle.
func TestBendStaysOnTheCircle(t *testing.T) {
	middle := 0.0
	p := penFunc(func(x1, y1, x2, y2, x, y float64) {
		// the middle of a curve from (10,0): (p0 + 3p1 + 3p2 + p3)/8
		middle = math.Hypot((10+3*x1+3*x2+x)/8, (3*y1+3*y2+y)/8)
	})
	bend(p, 0, 0, 10, 0, math.Pi/2)
	assert.InDelta(t, 10, middle, 0.003)
}

type penFunc func(x1, y1, x2, y2, x, y float64)

func (f penFunc) move(float64, float64)              {}
func (f penFunc) line(float64, float64)              {}
func (f penFunc) close()                             {}
func (f penFunc) curve(x1, y1, x2, y2, x, y float64) { f(x1, y1, x2, y2, x, y) }

func TestDrawing_WhatItDoesNotKnowIsAnError(t *testing.T) {
	for svg, want := range map[string]string{
		`<svg viewBox="0 0 9 9"><blink/></svg>`:                                     "<blink> is not known",
		`<svg viewBox="0 0 9 9"><path d="M0 0L9 9" class="gap2" fill="red"/></svg>`: `"red" is no colour`,
		`<svg viewBox="0 0 9 9"><path d="M0 0Q9 9" class="mark"/></svg>`:            `a path with "Q"`,
		`<svg viewBox="0 0 9 9"><path d="M0 0L9 9" fill="url(#moss)"/></svg>`:       `no hatch is called "moss"`,
		`<svg viewBox="0 0 9"></svg>`:                                               "no viewBox",
		`nothing`:                                                                   "no svg",
	} {
		d := someDocument()
		d.Drawing(svg)
		require.ErrorContains(t, d.Write(&bytes.Buffer{}), want)
	}
}

func TestTable_ShareGivesEachItsWord(t *testing.T) {
	assert.InDeltaSlice(t, []float64{25, 75}, share([]float64{10, 10}, []float64{20, 60}, 100), 1e-9, "room for all: in proportion")
	assert.InDeltaSlice(t, []float64{10, 40}, share([]float64{10, 10}, []float64{10, 90}, 50), 1e-9, "who wants more gets what is left")
	assert.InDeltaSlice(t, []float64{25, 25}, share([]float64{40, 40}, []float64{40, 40}, 50), 1e-9, "too little for all")
}

func TestWrap(t *testing.T) {
	d := someDocument()
	const text = "the quick brown fox jumps over the lazy dog and an-unbreakable-word-that-is-wider-than-its-column-by-far"
	lines := d.wrap(text, bodyLook, 30)
	for _, line := range lines {
		assert.LessOrEqual(t, d.measure(line, bodyLook), 30.0, line)
	}
	assert.Equal(t, strings.ReplaceAll(text, " ", ""), strings.ReplaceAll(strings.Join(lines, ""), " ", ""))
	assert.Equal(t, []string{"a", "", "b"}, d.wrap("a\n\nb", bodyLook, 30), "lines that a person made stay")
	assert.Equal(t, []string{""}, d.wrap("", bodyLook, 30))
	assert.Equal(t, "short", d.fit("short", bodyLook, 50))
	assert.Equal(t, "...", d.fit("cut", bodyLook, 1))
}

func TestSafe(t *testing.T) {
	assert.Equal(t, "a b\u25a1\u25a1c\nd", safe("a\tb\xff\U0001F525c\n\x07\u202ed"))
}

func TestKeep(t *testing.T) {
	d := someDocument()
	d.y = d.bottom - 20
	d.Keep(func() { d.y += 30 })
	assert.Equal(t, 2, d.pdf.PageNo(), "what does not fit goes on the next page")
	d.Keep(func() { d.y += 1000 })
	assert.Equal(t, 2, d.pdf.PageNo(), "what fits no page stays where it is")
	d = someDocument()
	d.y = d.bottom - 3*bodyLook.line() + 1
	d.List([]string{strings.Repeat("word ", 100)})
	assert.Equal(t, 2, d.pdf.PageNo(), "no lonely first line")
	d = someDocument()
	many := d.wrap(strings.Repeat("word ", 100), bodyLook, d.width)
	d.y = d.bottom - (float64(len(many))-0.5)*bodyLook.line() // all but the last one fit
	d.Text(strings.Repeat("word ", 100))
	assert.InDelta(t, topMargin+2.35*bodyLook.line(), d.y, 1e-9, "no lonely last line")
	assert.InDelta(t, d.height(func() { d.Text("x") }), d.height(func() { d.Text("x") }), 1e-12)
}

func TestUndated(t *testing.T) {
	var with, without bytes.Buffer
	d := New(Options{Made: time.Date(2026, 3, 2, 1, 2, 3, 0, time.UTC)})
	require.NoError(t, d.Write(&with))
	require.NoError(t, New(Options{}).Write(&without))
	assert.Contains(t, with.String(), "/CreationDate (D:20260302010203)")
	assert.NotContains(t, without.String(), "Date (D:")
	assert.Equal(t, with.Len(), without.Len(), "every place in the file stays")
}

func FuzzDrawing(f *testing.F) {
	for _, svg := range []string{
		`<svg viewBox="0 0 20 20"><path d="M2.5 10a7.5 7.5 0 1 0 15 0Z" class="mark full"/><text x="1" y="2" class="no">1<title>x</title></text></svg>`,
		`<svg viewBox="-3 -3 30 30"><circle cx="1" cy="1" r="4" class="gap"/><rect x="1" y="1" width="5" height="5"/></svg>`,
		`<svg viewBox="0 0 1e6 1e-300"><text>`, `<svg viewBox="0 0 9 9"><path d="A1 1 0 0 0 0 0"/>`,
	} {
		f.Add(svg, someCSS)
	}
	d := someDocument() // fonts are slow to read
	f.Fuzz(func(t *testing.T, svg, css string) {
		if len(svg) > 1000 || len(css) > 1000 {
			return
		}
		d.style, d.err = ParseStyle(css), nil
		d.paint(svg, 20, 20, 100, 100) // an error is an answer; a panic is none
		assert.False(t, d.pdf.Err())
		assert.Equal(t, 1, d.pdf.PageNo(), "a drawing turns no page")
	})
}
