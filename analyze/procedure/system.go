package procedure

import (
	"slices"
	"strings"

	"go.yaml.in/yaml/v3"
)

// The units that only those write who think in one of the two systems.
var (
	usUnits     = []string{"in", "ft", "in2", "in/min", "kJ/in", "J/in", "A/in", "degF", "°F", "ft3/h", "ft3/min", "lb"}
	metricUnits = []string{"mm", "cm", "m", "mm/min", "cm/min", "m/min", "mm/s", "kJ/mm", "J/mm", "kJ/cm", "A/mm", "degC", "°C", "L/min", "l/min", "kg", "g"}
)

// inUS reports whether more values of a document are written in US units than in metric ones.
func inUS(top *yaml.Node) bool { return lean(top) > 0 }

// lean is by how many values a document is US rather than metric.
func lean(n *yaml.Node) (by int) {
	if n == nil {
		return 0
	}
	for _, inner := range n.Content {
		by += lean(inner)
	}
	if n.Kind != yaml.ScalarNode {
		return by
	}
	unit := strings.TrimLeft(n.Value, "+-0123456789., /")
	switch {
	case unit == n.Value: // no number before it
	case slices.Contains(usUnits, unit):
		by++
	case slices.Contains(metricUnits, unit):
		by--
	}
	return by
}
