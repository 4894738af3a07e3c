package capture

// role is what a column can be.
type role struct {
	flag  string   // of the command line
	word  string   // for a person
	names []string // of headers, in normal form
	units map[string]number
	// bare is set where a header without unit is understood as the SI unit.
	bare bool
}

func milli() number { return number{1, 3} }

// Factors of the units that feeders show, to 18 decimals.
var (
	perMinute     = number{16666666666666667, 18} // m/min in m/s
	inchPerMinute = number{423333333333333, 18}   // in/min in m/s
)

var (
	timeRole = role{
		"--time", "time",
		[]string{"time", "timestamp", "time_stamp", "datetime", "date_time", "t", "epoch", "unix_time", "seconds", "elapsed", "clock"},
		map[string]number{"s": one, "sec": one, "seconds": one, "ms": milli(), "us": {1, 6}, "ns": {1, 9}},
		true,
	}
	dateRole    = role{"--time", "date", []string{"date", "day"}, nil, true}
	voltageRole = role{
		"--voltage", "voltage",
		[]string{"voltage", "volts", "volt", "v", "u", "arc_voltage", "weld_voltage", "welding_voltage", "actual_voltage", "voltage_actual"},
		map[string]number{"v": one, "mv": milli()},
		true,
	}
	currentRole = role{
		"--current", "current",
		[]string{
			"current", "amps", "ampere", "amperes", "amperage", "i", "a",
			"arc_current", "weld_current", "welding_current", "actual_current", "current_actual",
		},
		map[string]number{"a": one, "ma": milli(), "ka": {1000, 0}},
		true,
	}
	flagRole = role{
		"--arc", "arc flag",
		[]string{
			"arc", "arc_on", "arcon", "arc_flag", "arc_active", "arc_detect", "arc_detected", "arc_established",
			"arc_state", "arc_status", "welding", "weld_on", "welding_on", "weld_active",
		},
		nil, true,
	}
	speedRole = role{
		"--wire-speed", "wire speed",
		[]string{"wire_speed", "wirespeed", "wire_feed", "wire_feed_speed", "wire_feed_rate", "wfs", "feed_speed"},
		map[string]number{"m/s": one, "mm/s": milli(), "m/min": perMinute, "in/min": inchPerMinute, "ipm": inchPerMinute},
		false,
	}
	turnsRole = role{
		"--turns", "turns",
		[]string{"turns", "torch_turns", "revolutions", "torch_revolutions"},
		map[string]number{"rev": one, "turns": one},
		true,
	}
	travelRole = role{
		"--travel", "travel speed",
		[]string{"travel_speed", "travel", "torch_speed", "weld_speed", "welding_speed"},
		map[string]number{"m/s": one, "mm/s": milli(), "mm/min": {16666666666667, 18}, "m/min": perMinute, "in/min": inchPerMinute, "ipm": inchPerMinute},
		false,
	}
	// A position is never guessed: nothing says that it is that of the torch.
	positionRole = role{flag: "--position", word: "position"}
	lengthRole   = role{
		"--wire-length", "wire length",
		[]string{"wire_length", "wirelength", "wire_fed", "wire_used", "wire_consumed"},
		map[string]number{"m": one, "mm": milli()},
		false,
	}
)

// lookTime finds the time, which may stand in two columns, date and time.
func lookTime(header [][]byte) (column, error) {
	t, err := timeRole.look(header)
	if err != nil || !t.given() {
		return t, err
	}
	if d, err := dateRole.look(header); err == nil && d.given() {
		t.at = []int{d.at[0], t.at[0]}
	}
	return t, nil
}
