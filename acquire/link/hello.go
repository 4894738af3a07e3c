package link

import (
	"errors"
	"fmt"
	"math"

	"arctally/acquire/series"

	"github.com/fxamacker/cbor/v2"
)

// hello is the body of a HELLO frame: a CBOR map (RFC 8949) with text keys.
type hello struct {
	Name          string         `cbor:"name,omitempty"`
	Serial        string         `cbor:"serial,omitempty"`
	Firmware      string         `cbor:"firmware,omitempty"`
	Calibration   string         `cbor:"calibration,omitempty"`
	CountsPerTurn float64        `cbor:"counts_per_turn,omitempty"`
	WirePerCount  float64        `cbor:"wire_m_per_count,omitempty"`
	Channels      []helloChannel `cbor:"channels"`
}

type helloChannel struct {
	Name   string  `cbor:"name"`
	Unit   string  `cbor:"unit"`
	Scale  float64 `cbor:"scale"`
	Offset float64 `cbor:"offset"`
	Bits   uint8   `cbor:"bits"`
	Basis  string  `cbor:"basis"`
}

// units are those in which the rest of the program expects these channels.
var units = map[string]string{
	"voltage":     "V",
	"current":     "A",
	"wire_speed":  "m/s",
	"gas_flow":    "L/min",
	"temperature": "degC",
}

// The modes of the CBOR library: one spelling of each key, and none twice.
var (
	helloDecoding = mustMode(cbor.DecOptions{
		DupMapKey:         cbor.DupMapKeyEnforcedAPF,
		FieldNameMatching: cbor.FieldNameMatchingCaseSensitive,
	}.DecMode())
	helloEncoding = mustMode(cbor.CoreDetEncOptions().EncMode())
)

func mustMode[M any](mode M, err error) M {
	if err != nil {
		panic("link: " + err.Error())
	}
	return mode
}

// parseHello returns the source that a HELLO body describes.
func parseHello(body []byte) (*series.Source, error) {
	var h hello
	if err := helloDecoding.Unmarshal(body, &h); err != nil {
		return nil, err
	}
	s := &series.Source{
		Name:          h.Name,
		Serial:        h.Serial,
		Firmware:      h.Firmware,
		Calibration:   h.Calibration,
		Link:          Binary,
		CountsPerTurn: h.CountsPerTurn,
		WirePerCount:  h.WirePerCount,
	}
	for _, c := range h.Channels {
		s.Channels = append(s.Channels, series.Channel{
			Name:   c.Name,
			Unit:   c.Unit,
			Scale:  c.Scale,
			Offset: c.Offset,
			Bits:   int(c.Bits),
			Basis:  basisOf(c.Basis),
		})
	}
	return s, checkSource(s)
}

// formatHello returns the HELLO body that describes s.
func formatHello(s series.Source) ([]byte, error) {
	if err := checkSource(&s); err != nil {
		return nil, fmt.Errorf("hello: %w", err)
	}
	h := hello{
		Name:          s.Name,
		Serial:        s.Serial,
		Firmware:      s.Firmware,
		Calibration:   s.Calibration,
		CountsPerTurn: s.CountsPerTurn,
		WirePerCount:  s.WirePerCount,
	}
	for _, c := range s.Channels {
		h.Channels = append(h.Channels, helloChannel{
			Name:   c.Name,
			Unit:   c.Unit,
			Scale:  c.Scale,
			Offset: c.Offset,
			Bits:   uint8(c.Bits),
			Basis:  c.Basis.String(),
		})
	}
	body, err := helloEncoding.Marshal(h)
	if err != nil {
		return nil, fmt.Errorf("hello: %w", err)
	}
	if len(body) > maxBody {
		return nil, fmt.Errorf("hello: description takes %d bytes, a frame has room for %d", len(body), maxBody)
	}
	return body, nil
}

// basisOf reads a basis; a word that is not known proves nothing.
func basisOf(word string) series.Basis {
	for _, b := range []series.Basis{series.Instantaneous, series.Average} {
		if word == b.String() {
			return b
		}
	}
	return series.BasisUnknown
}

// checkSource refuses a description by which codes could not be turned into values.
func checkSource(s *series.Source) error {
	if len(s.Channels) < 2 {
		return fmt.Errorf("%d channels, voltage and current are needed", len(s.Channels))
	}
	for k, name := range []string{series.VoltageChannel: "voltage", series.CurrentChannel: "current"} {
		if s.Channels[k].Name != name {
			return fmt.Errorf("channel %d is %q, not %s", k, s.Channels[k].Name, name)
		}
	}
	if notPositive(s.CountsPerTurn) || notPositive(s.WirePerCount) {
		return errors.New("counts per turn or wire per count is not a positive number")
	}
	for k, c := range s.Channels {
		if err := checkChannel(c); err != nil {
			return fmt.Errorf("channel %d (%s): %w", k, c.Name, err)
		}
	}
	return nil
}

func checkChannel(c series.Channel) error {
	switch unit, known := units[c.Name]; {
	case known && c.Unit != unit:
		return fmt.Errorf("unit %q, not %s", c.Unit, unit)
	case c.Scale == 0 || !finite(c.Scale):
		return fmt.Errorf("scale %v", c.Scale)
	case !finite(c.Offset):
		return fmt.Errorf("offset %v", c.Offset)
	case c.Bits < 0 || c.Bits > math.MaxUint8:
		return fmt.Errorf("%d bits", c.Bits)
	default:
		return nil
	}
}

func finite(x float64) bool { return !math.IsNaN(x) && !math.IsInf(x, 0) }

// notPositive reports a factor that is given, as 0 is not, and cannot be one.
func notPositive(x float64) bool { return x < 0 || !finite(x) }
