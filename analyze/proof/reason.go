package proof

// Kind names why a pass is not proved; the words stand in JSON.
type Kind string

// The kinds of reasons, and of remarks.
const (
	NoWindow         Kind = "no-window"
	NoTravel         Kind = "no-travel"
	NoEfficiency     Kind = "no-efficiency"
	NoEnergy         Kind = "no-energy"
	NoUncertainty    Kind = "no-uncertainty"
	OutsideWindow    Kind = "outside"
	NearLimit        Kind = "near-limit"
	GapInData        Kind = "gap"
	AveragedPower    Kind = "averaged-power"
	Unprotected      Kind = "unprotected"
	UnknownSkew      Kind = "skew"
	UnknownFilters   Kind = "filters"
	UnknownLeads     Kind = "leads"
	UnknownClock     Kind = "clock"
	NoCalibration    Kind = "no-calibration"
	AnotherBox       Kind = "another-box"
	Overdue          Kind = "calibration-overdue"
	UndatedDue       Kind = "calibration-undated"
	LaterDone        Kind = "calibration-later"
	DeclaredTravel   Kind = "declared-travel"
	HeldValues       Kind = "held"
	AssumedThickness Kind = "layer-thickness"
	OpenFindings     Kind = "findings"
)

// remedies say what would close a reason the next time.
var remedies = map[Kind]string{
	NoWindow:       "write limits.heat_input in the procedure",
	NoTravel:       "fit a turn counter, or declare rotation, travel speed or length in the job",
	NoEfficiency:   "name a process that the definition lists, or judge the arc energy",
	NoEnergy:       "record voltage and current while the arc burns",
	NoUncertainty:  "judge the samples anew with this program",
	OutsideWindow:  "a person decides on the pass; change the settings before the next one",
	NearLimit:      "set the machine nearer to the middle of the window, or calibrate what contributes most to U",
	GapInData:      "find out why data was lost, and keep the link up",
	AveragedPower:  "sample voltage and current together at 1 kHz or more, or have the box sum products",
	Unprotected:    "record from a box whose link numbers and checks what it sends: acquire/link/FORMAT.md",
	UnknownSkew:    "have the box say skew_us or skew_alternates, or write signals.skew in the job: at most 100 us",
	UnknownFilters: "have the box say bandwidth_hz of voltage and current, or write signals.voltage_bandwidth and signals.current_bandwidth in the job: matched, and 700 Hz or more",
	UnknownLeads:   "take the voltage at the torch and say so, by tap in the box or signals.voltage_tap in the job, or measure the leads and write signals.leads",
	UnknownClock:   "have the box say clock_ppm, or write signals.clock in the job",
	NoCalibration:  "calibrate the channel, and put the calibration on record",
	AnotherBox:     "calibrate the box that measures, or measure with the one that is calibrated",
	Overdue:        "calibrate the instrument again",
	UndatedDue:     "record with a clock that has a date",
	DeclaredTravel: "count turns, or time a turn and put that on record",
	HeldValues:     "record from a source that measures while it stands still, or bring its arc flag",
}

// Reason is one thing that a proof lacks, or rests on, in a sentence for a person.
type Reason struct {
	Kind Kind
	Text string
}
