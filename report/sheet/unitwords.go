package sheet

import (
	"math"
	"regexp"
	"strconv"
	"strings"

	"arctally/acquire/quantity"
)

// usWords is what stands for a metric unit in the sentences of those who read US units.
type usWords struct {
	unit string
	of   func(metric float64) float64
}

// converted gives a value of one unit in another.
func converted[Q quantity.Quantity](from, to string) usWords {
	return usWords{to, func(v float64) float64 { return quantity.In(quantity.Of[Q](v, from), to) }}
}

// inch is 25.4 mm, by the definition of the international yard. A melting rate is no quantity of the
// house, and only its length is another one.
const inch = 25.4

func perInch(unit string) usWords { return usWords{unit, func(v float64) float64 { return v * inch }} }

func inInches(unit string) usWords {
	return usWords{unit, func(v float64) float64 { return v / inch }}
}

// usOf has every metric unit that a sentence of the program has. Volts, amperes, seconds, degrees of
// an angle and ml/100g of hydrogen are the same for both.
var usOf = map[string]usWords{
	"mm": converted[quantity.Metres]("mm", "in"), "m": converted[quantity.Metres]("m", "ft"),
	"mm/min": converted[quantity.MetresPerSecond]("mm/min", "in/min"), "m/min": converted[quantity.MetresPerSecond]("m/min", "in/min"),
	"mm/s": inInches("in/s"), "mm/min/A": inInches("in/min/A"), "A/mm": perInch("A/in"),
	"kJ/mm": converted[quantity.JoulesPerMetre]("kJ/mm", "kJ/in"),
	"L/min": converted[quantity.CubicMetresPerSecond]("L/min", "ft3/h"), "L": converted[quantity.CubicMetres]("L", "ft3"),
	"mm2": converted[quantity.SquareMetres]("mm2", "in2"),
	"g":   converted[quantity.Kilograms]("g", "lb"), "kg": converted[quantity.Kilograms]("kg", "lb"),
	"degC": converted[quantity.Celsius]("degC", "degF"),
	// 1 ksi is 6.894757 MPa: 1000 pounds of force, 4448.2216152605 N, on a square inch.
	"MPa": {"ksi", func(v float64) float64 { return v * inch * inch / 4448.2216152605 }},
}

// said finds a number or a range of numbers with a metric unit behind it. The longer units come first.
var said = regexp.MustCompile(`([+-]?\d+(?:\.\d+)?(?:e[+-]?\d+)?)(?:( to |\.\.)([+-]?\d+(?:\.\d+)?(?:e[+-]?\d+)?))? ` +
	`(kJ/mm|mm/min/A|mm/min|mm/s|m/min|L/min|A/mm|mm2|MPa|degC|kg|mm|m|g|L)`)

// Words is a sentence of the program, which is metric as the record is, in the units of a reader:
// every quantity with as many digits as it takes to say no less. What stands in quotes is somebody else's
// word, and stays. A value in degC is a point of the scale and never a difference.
func (u Units) Words(sentence string) string {
	if u == Metric {
		return sentence
	}
	var out strings.Builder
	done := 0
	for _, at := range said.FindAllStringSubmatchIndex(sentence, -1) {
		if glued(sentence, at[0], at[1]) || strings.Count(sentence[:at[0]], `"`)%2 == 1 {
			continue
		}
		to := usOf[sentence[at[8]:at[9]]]
		out.WriteString(sentence[done:at[0]])
		out.WriteString(to.number(sentence[at[2]:at[3]]))
		if at[4] >= 0 {
			out.WriteString(sentence[at[4]:at[5]] + to.number(sentence[at[6]:at[7]]))
		}
		out.WriteString(" " + to.unit)
		done = at[1]
	}
	return out.String() + sentence[done:]
}

// glued tells what only looks like a quantity, being a part of a longer word: "M8.5 mmol", "2 m/s".
func glued(sentence string, from, to int) bool {
	word := func(c byte) bool {
		return c == '_' || c >= '0' && c <= '9' || c >= 'a' && c <= 'z' || c >= 'A' && c <= 'Z'
	}
	return from > 0 && (word(sentence[from-1]) || sentence[from-1] == '.') || to < len(sentence) && (word(sentence[to]) || sentence[to] == '/')
}

// longest is with how many digits a number that was printed in full, as a converted one is, is printed.
const longest = 6

// fewest is how many digits a converted number has at least, so that a limit of 0.25 kJ/mm is 6.35 kJ/in and
// not 6.4. It holds for a unit that is smaller than the metric one, where a few digits are coarse; a temperature has
// no more than it had, for its scale begins elsewhere.
const fewest = 3

// number converts a printed number. Its last digit stands for no more than that of the metric one:
//
//	decimals = ceil( -log10( 10^-d * k ) ),  k US units for one metric unit, d decimals of the metric one
//
// (ours: so two numbers that differ in the metric sentence differ in the other one).
func (w usWords) number(metric string) string {
	v, err := strconv.ParseFloat(metric, 64)
	if err != nil {
		return metric
	}
	to, k := w.of(v), w.of(1)-w.of(0)
	mantissa, _, small := strings.Cut(strings.TrimLeft(metric, "+-"), "e")
	whole, fraction, _ := strings.Cut(mantissa, ".")
	text := ""
	if len(strings.TrimLeft(whole+fraction, "0")) > longest || small {
		text = strconv.FormatFloat(to, 'g', longest, 64)
	} else {
		decimals := math.Ceil(float64(len(fraction)) - math.Log10(k) - 1e-9)
		if to != 0 && k > 1 && w.of(0) == 0 {
			decimals = max(decimals, fewest-1-math.Floor(math.Log10(math.Abs(to))))
		}
		text = strconv.FormatFloat(to, 'f', int(max(decimals, 0)), 64)
	}
	if strings.HasPrefix(metric, "+") && to > 0 {
		return "+" + text
	}
	return text
}
