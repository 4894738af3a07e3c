package link

import (
	"fmt"

	"arctally/acquire/series"

	"github.com/fxamacker/cbor/v2"
)

// hello is the body of a HELLO frame: a CBOR map (RFC 8949) with text keys. A nil
// is a key that is missing: what it says is not known, or does not apply.
type hello struct {
	Name           string         `cbor:"name,omitempty"`
	Serial         string         `cbor:"serial,omitempty"`
	Firmware       string         `cbor:"firmware,omitempty"`
	Calibration    string         `cbor:"calibration,omitempty"`
	CountsPerTurn  *float64       `cbor:"counts_per_turn,omitempty"`
	WirePerCount   *float64       `cbor:"wire_m_per_count,omitempty"`
	Skew           *float64       `cbor:"skew_us,omitempty"`
	SkewAlternates bool           `cbor:"skew_alternates,omitempty"`
	ClockDeviation *float64       `cbor:"clock_ppm,omitempty"`
	Channels       []helloChannel `cbor:"channels"`
}

type helloChannel struct {
	Name      string   `cbor:"name"`
	Unit      string   `cbor:"unit"`
	Scale     float64  `cbor:"scale"`
	Offset    float64  `cbor:"offset,omitempty"`
	Bits      *float64 `cbor:"bits,omitempty"`
	Basis     string   `cbor:"basis"`
	Bandwidth *float64 `cbor:"bandwidth_hz,omitempty"`
	Tap       string   `cbor:"tap,omitempty"`
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
	if err := h.check(); err != nil {
		return nil, err
	}
	return h.source(), nil
}

func (h *hello) source() *series.Source {
	s := &series.Source{
		Name:           h.Name,
		Serial:         h.Serial,
		Firmware:       h.Firmware,
		Calibration:    h.Calibration,
		Link:           Binary,
		CountsPerTurn:  orZero(h.CountsPerTurn),
		WirePerCount:   orZero(h.WirePerCount),
		Skew:           series.StatedBy(h.Skew),
		SkewAlternates: h.SkewAlternates,
		ClockDeviation: series.StatedBy(h.ClockDeviation),
	}
	for _, c := range h.Channels {
		s.Channels = append(s.Channels, series.Channel{
			Name:      c.Name,
			Unit:      c.Unit,
			Scale:     c.Scale,
			Offset:    c.Offset,
			Bits:      int(orZero(c.Bits)),
			Basis:     series.BasisOf(c.Basis),
			Bandwidth: orZero(c.Bandwidth),
			Tap:       c.Tap,
		})
	}
	return s
}

// formatHello returns the HELLO body that describes s.
func formatHello(s series.Source) ([]byte, error) {
	h := helloOf(s)
	if err := h.check(); err != nil {
		return nil, fmt.Errorf("hello: %w", err)
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

func helloOf(s series.Source) *hello {
	h := &hello{
		Name:           s.Name,
		Serial:         s.Serial,
		Firmware:       s.Firmware,
		Calibration:    s.Calibration,
		CountsPerTurn:  unlessZero(s.CountsPerTurn),
		WirePerCount:   unlessZero(s.WirePerCount),
		Skew:           s.Skew.Key(),
		SkewAlternates: s.SkewAlternates,
		ClockDeviation: s.ClockDeviation.Key(),
	}
	for _, c := range s.Channels {
		h.Channels = append(h.Channels, helloChannel{
			Name:      c.Name,
			Unit:      c.Unit,
			Scale:     c.Scale,
			Offset:    c.Offset,
			Bits:      unlessZero(float64(c.Bits)),
			Basis:     c.Basis.String(),
			Bandwidth: unlessZero(c.Bandwidth),
			Tap:       c.Tap,
		})
	}
	return h
}

// orZero is what a key says, 0 where it is missing.
func orZero(x *float64) float64 {
	if x == nil {
		return 0
	}
	return *x
}

// unlessZero is the reverse of orZero.
func unlessZero(x float64) *float64 {
	if x == 0 {
		return nil
	}
	return &x
}
