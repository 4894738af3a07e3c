package record

import (
	"encoding/json"
	"errors"
	"math"

	"arctally/acquire/foreign"
	"arctally/acquire/series"
)

// sourceText is how a source's description stands in the table sources: its
// names are part of the format and do not follow those of the program.
type sourceText struct {
	Box            int           `json:"box,omitempty"`
	Port           string        `json:"port,omitempty"`
	Name           string        `json:"name"`
	Serial         string        `json:"serial,omitempty"`
	Firmware       string        `json:"firmware,omitempty"`
	Calibration    string        `json:"calibration,omitempty"`
	Link           string        `json:"link"`
	Unprotected    bool          `json:"unprotected,omitempty"`
	Contested      bool          `json:"contested,omitempty"`
	Assumed        bool          `json:"assumed,omitempty"`
	CountsPerTurn  float64       `json:"counts_per_turn,omitempty"`
	WirePerCount   float64       `json:"wire_m_per_count,omitempty"`
	Refresh        int64         `json:"refresh_ns,omitempty"`
	HeldAfter      int64         `json:"held_after_ns,omitempty"`
	MayBeHeldAfter int64         `json:"may_be_held_after_ns,omitempty"`
	HeldArc        int64         `json:"held_arc_ns,omitempty"`
	MaxStep        int64         `json:"max_step_ns,omitempty"`
	Skew           *float64      `json:"skew_us,omitempty"` // 0 is a statement, left out is not known
	SkewAlternates bool          `json:"skew_alternates,omitempty"`
	ClockDeviation *float64      `json:"clock_ppm,omitempty"`
	Channels       []channelText `json:"channels"`
}

type channelText struct {
	Name      string  `json:"name"`
	Unit      string  `json:"unit"`
	Scale     float64 `json:"scale"`
	Offset    float64 `json:"offset"`
	Bits      int     `json:"bits,omitempty"`
	Basis     string  `json:"basis"`
	Bandwidth float64 `json:"bandwidth_hz,omitempty"`
	Tap       string  `json:"tap,omitempty"`
}

func encodeSource(s *series.Source) (string, error) {
	t := sourceText{
		Box: s.Box, Port: s.Port, Name: s.Name, Serial: s.Serial, Firmware: s.Firmware, Calibration: s.Calibration, Link: s.Link,
		Unprotected: s.Unprotected, Contested: s.Contested, Assumed: s.Assumed, CountsPerTurn: s.CountsPerTurn, WirePerCount: s.WirePerCount,
		Refresh: s.Refresh, HeldAfter: s.HeldAfter, MayBeHeldAfter: s.MayBeHeldAfter, HeldArc: s.HeldArc, MaxStep: s.MaxStep,
		Skew: s.Skew.Key(), SkewAlternates: s.SkewAlternates, ClockDeviation: s.ClockDeviation.Key(),
		Channels: make([]channelText, len(s.Channels)),
	}
	for k, c := range s.Channels {
		t.Channels[k] = channelText{c.Name, c.Unit, c.Scale, c.Offset, c.Bits, c.Basis.String(), c.Bandwidth, c.Tap}
	}
	b, err := json.Marshal(t)
	return string(b), err
}

func decodeSource(text string) (series.Source, error) {
	var t sourceText
	if err := errors.Join(foreign.OneOfEach([]byte(text)), json.Unmarshal([]byte(text), &t)); err != nil {
		return series.Source{}, err
	}
	s := series.Source{
		Box: t.Box, Port: t.Port, Name: t.Name, Serial: t.Serial, Firmware: t.Firmware, Calibration: t.Calibration, Link: t.Link,
		Unprotected: t.Unprotected, Contested: t.Contested, Assumed: t.Assumed, CountsPerTurn: t.CountsPerTurn, WirePerCount: t.WirePerCount,
		Refresh: t.Refresh, HeldAfter: t.HeldAfter, MayBeHeldAfter: t.MayBeHeldAfter, HeldArc: t.HeldArc, MaxStep: t.MaxStep,
		Skew: series.StatedBy(t.Skew), SkewAlternates: t.SkewAlternates, ClockDeviation: series.StatedBy(t.ClockDeviation),
	}
	for _, c := range t.Channels {
		s.Channels = append(s.Channels, series.Channel{
			Name: c.Name, Unit: c.Unit, Scale: c.Scale, Offset: c.Offset, Bits: c.Bits, Basis: series.BasisOf(c.Basis), Bandwidth: c.Bandwidth, Tap: c.Tap,
		})
	}
	return s, nil
}

// checkSource refuses numbers that no record can keep.
func checkSource(path string, s *series.Source) error {
	numbers := []float64{s.CountsPerTurn, s.WirePerCount, s.Skew.Value, s.ClockDeviation.Value}
	for _, c := range s.Channels {
		numbers = append(numbers, c.Scale, c.Offset, c.Bandwidth)
	}
	for _, x := range numbers {
		if math.IsNaN(x) || math.IsInf(x, 0) {
			return &Error{Kind: Failed, Path: path, Detail: "the source describes itself with a number that is none"}
		}
	}
	return nil
}

// Sources returns what the boxes said of themselves, in the order of the record. What a
// box said again as it was is left out: a companion says who it is in every epoch.
func (r *Reader) Sources() (found []series.Source, err error) {
	last := map[int]int{} // of each box
	err = r.each("SELECT id, description FROM sources WHERE "+ofGroups+" ORDER BY id", nil, func(scan func(...any) error) error {
		var id int64
		var description string
		if err := scan(&id, &description); err != nil {
			return err
		}
		s, err := decodeSource(description)
		if err != nil {
			return &Error{Kind: Damaged, Path: r.path, Commit: id / idsPerCommit, Row: id, Detail: "sources", Err: err}
		}
		if k, said := last[s.Box]; !said || !found[k].Equal(s) {
			last[s.Box] = len(found)
			found = append(found, s)
		}
		return nil
	})
	return found, err
}
