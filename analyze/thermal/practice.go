package thermal

import (
	"fmt"

	"arctally/acquire/quantity"
)

// The t8/5 that shops keep to on structural and fine-grained steels: 10 to 25 s.
// Faster, and the steel beside the weld may harden; slower, and it may lose
// toughness. Common practice around EN 1011-2. Standing: memory; the maker of a steel
// may ask for another.
const (
	leastCooling quantity.Seconds = 10
	mostCooling  quantity.Seconds = 25
)

const coolingPractice = "10 to 25 s are common practice for structural and fine-grained steels (memory); the maker of the steel rules"

// TooFast is the caution about a weld that cools faster than shops have it, from the
// temperature of its wall; empty for any other.
func TooFast(t quantity.Seconds, wall quantity.Celsius) string {
	if t >= leastCooling {
		return ""
	}
	time, least := quantity.TextAgainst(t, leastCooling, "s", 1)
	return fmt.Sprintf("from a wall at %s the weld takes %s from 800 to 500 degC, less than %s: the steel beside it may harden and crack; "+
		"warm the wall, or bring in more heat inside the procedure, and have a hardness measured on a test piece; %s",
		quantity.Text(wall, "degC", 0), time, least, coolingPractice)
}

// TooSlow is the caution about a weld that cools more slowly than shops have it;
// empty for any other.
func TooSlow(t quantity.Seconds, wall quantity.Celsius) string {
	if t <= mostCooling {
		return ""
	}
	time, most := quantity.TextAgainst(t, mostCooling, "s", 1)
	if t >= 60 {
		time = quantity.Lasting(t, 0)
	}
	return fmt.Sprintf("from a wall at %s the weld takes %s from 800 to 500 degC, more than %s: the steel beside it may lose toughness; "+
		"let it cool between the passes; %s", quantity.Text(wall, "degC", 0), time, most, coolingPractice)
}
