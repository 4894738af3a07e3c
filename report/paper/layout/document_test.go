package layout

import (
	"bytes"
	"math"
	"runtime"
	"strings"
	"testing"
	"time"

	"arctally/report/draw"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func someDocument() *Document { return New(Options{Title: "t", Foot: "f"}) }

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

// A word as long as a book is broken where it must be, and measured no further: each of its
// letters is looked at a few times, however many follow it.
func TestWrap_AWordAsLongAsABook(t *testing.T) {
	d := someDocument()
	for _, letter := range []string{"w", "i", "\u05d0", "\u4e2d"} {
		word := strings.Repeat(letter, 16_000)
		var pieces []string
		allocated := allocatedBy(func() { pieces = d.pieces(word, bodyLook, 60) })
		quarter := allocatedBy(func() { d.pieces(word[:len(word)/4], bodyLook, 60) })
		assert.Equal(t, word, strings.Join(pieces, ""))
		for k, piece := range pieces {
			assert.LessOrEqual(t, d.measure(piece, bodyLook), 60.0)
			if k < len(pieces)-1 {
				assert.Greater(t, d.measure(piece+letter, bodyLook), 60.0, "one more would not have fitted")
			}
		}
		assert.Less(t, allocated, 6*quarter, "a word of four times as many letters takes four times as much, not sixteen times")
	}
	text := strings.Repeat("word ", 3000)
	assert.Equal(t, []string{strings.TrimSpace(text)}, d.wrap(text, bodyLook, math.Inf(1)))
	assert.Equal(t, []string{"a b", "", "c"}, d.wrap(" a  b \n\nc", bodyLook, math.Inf(1)))
}

// allocatedBy is how many bytes of memory something takes, those that it gives back too.
func allocatedBy(do func()) float64 {
	var before, after runtime.MemStats
	runtime.ReadMemStats(&before)
	do()
	runtime.ReadMemStats(&after)
	return float64(after.TotalAlloc - before.TotalAlloc)
}

// What is measured leaves nothing on the page.
func TestMeasure_WritesNothing(t *testing.T) {
	var once, often bytes.Buffer
	for _, one := range []struct {
		to    *bytes.Buffer
		times int
	}{{&once, 1}, {&often, 1000}} {
		d := someDocument()
		for range one.times {
			assert.Positive(t, d.measure("a word, \u4e2d", Look{Size: 8, Bold: true}))
		}
		d.Text("a text")
		require.NoError(t, d.Write(one.to))
	}
	assert.Equal(t, once.Bytes(), often.Bytes())
}

func TestSafe(t *testing.T) {
	assert.Equal(t, "a b[U+FFFD U+1F525]c\n\\u0007\\u202ed", safe("a\tb\xff\U0001F525c\n\x07\u202ed"))
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

// A drawing that cannot be painted is told of at the end, and the others are there.
func TestDrawing_ErrorsComeWithTheFile(t *testing.T) {
	d := New(Options{Style: draw.ParseStyle(".sign path{fill:red}")})
	d.Headline(draw.Sign("within"), "a sign")
	require.ErrorContains(t, d.Write(&bytes.Buffer{}), `a drawing: "red" is no colour`)
}

func TestInksAreThoseOfTheStyle(t *testing.T) {
	d := New(Options{Style: draw.ParseStyle(":root{--ink:#010203;--grey:#040506;--rule:#070809;--hot:#0a0b0c;--faint:#0d0e0f}")})
	assert.Equal(t, inks{draw.Colour{R: 1, G: 2, B: 3}, draw.Colour{R: 4, G: 5, B: 6}, draw.Colour{R: 7, G: 8, B: 9}, draw.Colour{R: 10, G: 11, B: 12}, draw.Colour{R: 13, G: 14, B: 15}}, d.inks)
}
