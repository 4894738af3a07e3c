package draw

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
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

func TestParseStyle(t *testing.T) {
	s := ParseStyle(someCSS)
	of := func(property string, own int, tags string, classes ...string) string {
		return element{s, strings.Fields(tags), classes, own}.value(property)
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
	assert.Equal(t, Colour{0x12, 0x16, 0x1b}, s.Ink("ink"))
	assert.Equal(t, Colour{}, s.Ink("moss"), "black is at hand")
}

func TestElement_Lengths(t *testing.T) {
	s := ParseStyle(".a{stroke-width:2.5px;stroke-dasharray:6 5;font:14px sans-serif}.b{stroke-width:wide;stroke-dasharray:6 x;font:large serif}.c{stroke-width:-1}")
	a, b := s.element("path", "", "a"), s.element("path", "", "b")
	assert.Equal(t, 2.5, a.length("stroke-width", 1))
	assert.Equal(t, []float64{6, 5}, a.lengths("stroke-dasharray"))
	assert.Equal(t, 14.0, a.fontSize())
	assert.Equal(t, 1.0, b.length("stroke-width", 1), "no length")
	assert.Equal(t, 1.0, s.element("path", "", "c").length("stroke-width", 1), "below nothing")
	assert.Nil(t, b.lengths("stroke-dasharray"))
	assert.Equal(t, 14.0, b.fontSize(), "what a browser has by itself")
}
