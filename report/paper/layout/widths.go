package layout

import "math"

// measure shares the width out: every column gets the room of its longest word,
// and what is left goes to those that would still have to break lines.
func (g *tableLayout) measure() {
	least, wanted := make([]float64, len(g.t.Columns)), make([]float64, len(g.t.Columns))
	for k, c := range g.t.Columns {
		least[k], wanted[k] = c.Least, c.Least
		for _, p := range c.Head {
			g.widen(p, &least[k], &wanted[k])
		}
		for _, row := range g.t.Rows {
			if k < len(row) {
				for _, p := range row[k] {
					g.widen(p, &least[k], &wanted[k])
				}
			}
		}
	}
	width := g.d.width
	if g.t.Narrow {
		sum := 0.0
		for k := range wanted {
			wanted[k] += 4
			sum += wanted[k]
		}
		width = min(width, sum)
	}
	g.widths = share(least, wanted, width)
}

// mostWord bounds the room of one word, mm: a longer one is broken.
const mostWord = 34.0

func (g *tableLayout) widen(p Part, least, wanted *float64) {
	look, room := g.look(p), 2*cellSide+g.markWidth(p)
	for _, line := range g.d.wrap(p.Text, look, math.Inf(1)) {
		*wanted = max(*wanted, g.d.measure(line, look)+room)
	}
	for _, word := range words(p.Text) {
		*least = max(*least, min(mostWord, g.d.measure(word, look))+room)
	}
	*wanted = max(*wanted, *least)
}

// share gives each column its least width, and shares out what is left by what
// each of them still wants.
func share(least, wanted []float64, width float64) []float64 {
	sum, wish := 0.0, 0.0
	for k := range least {
		sum, wish = sum+least[k], wish+wanted[k]-least[k]
	}
	widths := make([]float64, len(least))
	for k := range least {
		switch spare := width - sum; {
		case spare < 0:
			widths[k] = least[k] * width / sum
		case wish <= 0 || wish < spare:
			widths[k] = wanted[k] * width / (sum + wish)
		default:
			widths[k] = least[k] + spare*(wanted[k]-least[k])/wish
		}
	}
	return widths
}
