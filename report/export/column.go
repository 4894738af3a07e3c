package export

import "strings"

// column is what a file says of one of its columns.
type column struct {
	Name string `json:"name"`
	Unit string `json:"unit"` // 1 where it has none
	Text string `json:"description"`
}

// whenColumns begin every table of samples.
var whenColumns = []column{
	{"time", "UTC", "when; where the date is not known, text has seconds on the clock of the source, and a typed file null"},
	{"epoch", "1", "which stretch of the source's clock: a restart begins the next one, and ticks of two epochs are never subtracted"},
	{"tick_ns", "ns", "when, on the clock of the source"},
	{"break", "1", "something is missing between this row and the one before: no line may be drawn and no energy summed between them"},
}

var arcColumns = append(whenColumns[:len(whenColumns):len(whenColumns)],
	column{"voltage_v", "V", "arc voltage, calibrated; the mean where the row is a window of sums"},
	column{"current_a", "A", "arc current, calibrated; the mean where the row is a window of sums"},
	column{"arc", "1", "arc flag of the source, 1 or 0; the share of samples in arc where the row is a window of sums; null where the source has no flag"},
	column{"power_w", "W", "true mean of voltage times current over a window of sums; null for a sample"},
	column{"window_s", "s", "length of the window of sums that begins at this row; null for a sample"},
)

var slowColumns = append(whenColumns[:len(whenColumns):len(whenColumns)],
	column{"channel", "1", "name of the channel; turn_count is the cumulative count of the turn encoder, falling where the torch turns back"},
	column{"value", "see the column unit", "value, calibrated; null where it is not known"},
	column{"unit", "1", "unit of the value; null for counts"},
)

// headOf is the first line of a CSV file.
func headOf(columns []column) string { return strings.Join(namesOf(columns), ",") + "\n" }

func namesOf(columns []column) []string {
	names := make([]string, len(columns))
	for k, c := range columns {
		names[k] = c.Name
	}
	return names
}
