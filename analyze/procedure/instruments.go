package procedure

import (
	"strings"
	"time"

	"go.yaml.in/yaml/v3"

	"arctally/acquire/calib"
	"arctally/acquire/quantity"
	"arctally/acquire/series"
)

// instrument is a channel that a calibration may correct; offset reads its
// offset in the unit of the channel.
type instrument struct {
	channel string
	offset  func(s section) float64
}

var instruments = []instrument{
	{"voltage", offsetIn[quantity.Volts]("V")},
	{"current", offsetIn[quantity.Amperes]("A")},
	{"wire_speed", offsetIn[quantity.MetresPerSecond]("m/s")},
	{"travel", offsetIn[quantity.MetresPerSecond]("m/s")},
	{"gas_flow", offsetIn[quantity.CubicMetresPerSecond]("L/min")},
	{"temperature", temperatureOffset},
}

func offsetIn[Q quantity.Quantity](unit string) func(section) float64 {
	return func(s section) float64 {
		q, _ := value[Q](s, "offset")
		return quantity.In(q, unit)
	}
}

// temperatureOffset reads a difference of temperatures. It must be in degC: in
// degF or K the zero of the scale would come into it.
func temperatureOffset(s section) float64 {
	q, n := value[quantity.Celsius](s, "offset")
	if n != nil && !strings.HasSuffix(strings.TrimSpace(n.Value), "C") {
		s.doc.fail(n, "%s %q: a difference must be written in degC", s.path("offset"), n.Value)
	}
	return float64(q)
}

// readInstruments reads the calibrations in force, one under each channel.
func readInstruments(job section) []calib.Calibration {
	var channels []string
	for _, i := range instruments {
		channels = append(channels, i.channel)
	}
	s, ok := job.sub("instruments", channels...)
	if !ok {
		return nil
	}
	var calibrations []calib.Calibration
	for _, i := range instruments {
		if sub, ok := s.sub(i.channel, "standard_uncertainty", "degrees_of_freedom", "gain", "offset", "date", "due", "certificate", "serial"); ok {
			calibrations = append(calibrations, i.read(sub))
		}
	}
	return calibrations
}

func (i instrument) read(s section) calib.Calibration {
	c := calib.Calibration{
		Channel:     i.channel,
		Gain:        float64(positiveOr[quantity.Ratio](s, "gain", 1)),
		Relative:    float64(percent(s, "standard_uncertainty", 0)),
		Freedom:     freedom(s),
		Date:        s.text("date"),
		Due:         s.text("due"),
		Certificate: s.text("certificate"),
		Box:         series.IdentityOf(s.text("serial")),
	}
	if s.values["offset"] != nil {
		c.Offset = i.offset(s)
	}
	done, _ := date(s, "date")
	due, at := date(s, "due")
	if at != nil && due.Before(done) {
		s.doc.fail(at, "%s lies before %s", s.path("due"), s.path("date"))
	}
	return c
}

// freedom reads degrees of freedom, 0 where the key is missing. Less than one is
// no number of readings less what was fitted to them.
func freedom(s section) float64 {
	n := positive[quantity.Ratio](s, "degrees_of_freedom")
	if n > 0 && n < 1 {
		s.doc.fail(s.values["degrees_of_freedom"], "%s must be 1 or more, not %s", s.path("degrees_of_freedom"), s.values["degrees_of_freedom"].Value)
	}
	return float64(n)
}

// date reads a day, and returns the node it stands at.
func date(s section, key string) (time.Time, *yaml.Node) {
	n := s.values[key]
	if n == nil || n.Kind != yaml.ScalarNode || n.Tag == "!!null" {
		return time.Time{}, nil // reported by text, or missing
	}
	day, err := time.Parse(time.DateOnly, n.Value)
	if err != nil {
		s.doc.fail(n, "%s %q: write a day as 2026-05-04", s.path(key), n.Value)
		return time.Time{}, nil
	}
	return day, n
}
