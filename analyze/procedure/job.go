package procedure

import (
	"slices"
	"strconv"
	"strings"

	"go.yaml.in/yaml/v3"

	"arctally/acquire/quantity"
	"arctally/acquire/series"
	"arctally/analyze/bore"
	"arctally/analyze/plausible"
)

// ParseJob reads a job file; Job.Procedure is left for the caller to fill from
// Job.ProcedureFile. The error is Errors: every *Error in the file, in the order
// of its lines.
func ParseJob(file string, text []byte) (*Job, error) {
	return (&document{file: file}).job(text)
}

// ParseKeptJob is ParseJob for the job of a record, which may be from before there were limits
// for how long a text is: longer ones are shortened, and say so.
func ParseKeptJob(file string, text []byte) (*Job, error) {
	return (&document{file: file, kept: true}).job(text)
}

func (d *document) job(text []byte) (*Job, error) {
	j := &Job{}
	if top := d.root(text); top != nil {
		j.read(d, top)
	}
	if err := d.errors.sorted(); err != nil {
		return nil, err
	}
	return j, nil
}

func (j *Job) read(d *document, top *yaml.Node) {
	s := d.section(top, "", "job", "procedure", "customer", "machine", "bore", "deposit", "rotation", "setpoints", "sensors",
		"material", "consumables", "people", "instruments", "signals", "sure")
	s.need("job", "procedure", "deposit")
	j.Name = s.text("job")
	j.ProcedureFile = s.text("procedure")
	j.Customer, j.Machine = readCustomer(s), readMachine(s)
	j.Deposit = readDeposit(s)
	if j.Deposit.Pattern != bore.Straight && j.Deposit.Pattern != "" {
		s.need("bore")
	}
	j.Bore = readBore(s)
	j.Rotation = readRotation(s)
	j.Setpoints = readSetpoints(s)
	j.Sensors = readSensors(s)
	j.Material = readMaterial(s)
	j.Consumables = readConsumables(s)
	j.People = readPeople(s)
	j.Instruments = readInstruments(s)
	j.Signals = readSignals(s)
	j.startsASegment(s)
	j.Typed, j.InUS = s.settle(), inUS(top)
}

// startsASegment doubts a start angle at which no stroke begins: the first strike is
// taken to stand there, and every place would be off.
func (j *Job) startsASegment(s section) {
	begin, ok := j.FirstStroke()
	if !ok || slices.ContainsFunc(j.Deposit.Gaps, func(g bore.Gap) bool { return bore.NormalAngle(g.To) == j.Rotation.StartAngle }) {
		return
	}
	s.doc.doubt(s.values["deposit"], &plausible.Doubt{
		Field: "rotation.start_angle", Value: quantity.Text(j.Rotation.StartAngle, "deg", -1), Usual: quantity.Text(begin, "deg", -1) + " or where another gap ends",
		Why: "strokes begin where a gap ends, and the first strike is taken to stand at the start angle",
	})
}

// FirstStroke is where the first stroke after the reference mark begins, clockwise; false
// where the job is laid in no strokes, or has no gaps.
func (j *Job) FirstStroke() (begin quantity.Degrees, ok bool) {
	if !j.Deposit.Pattern.Stroked() || len(j.Deposit.Gaps) == 0 {
		return 0, false
	}
	begin = 360
	for _, g := range j.Deposit.Gaps {
		begin = min(begin, bore.NormalAngle(g.To))
	}
	return begin, true
}

func readRotation(job section) (r Rotation) {
	s, ok := job.sub("rotation", "speed", "start_angle")
	if !ok {
		return r
	}
	r.Speed = positive[quantity.TurnsPerSecond](s, "speed")
	r.StartAngle, _ = angle(s, "start_angle")
	return r
}

func readSetpoints(job section) (p Setpoints) {
	s, ok := job.sub("setpoints", "voltage", "current", "wire_speed", "travel_speed", "current_per_distance")
	if !ok {
		return p
	}
	p.Voltage = positive[quantity.Volts](s, "voltage")
	p.Current = positive[quantity.Amperes](s, "current")
	p.WireSpeed = positive[quantity.MetresPerSecond](s, "wire_speed")
	p.TravelSpeed = positive[quantity.MetresPerSecond](s, "travel_speed")
	p.CurrentPerDistance = positive[quantity.AmperesPerMetre](s, "current_per_distance")
	return p
}

// The rates that serial ports know lie between these; adapters may offer any
// rate in between.
const (
	lowestBaud  = 300
	highestBaud = 4_000_000
)

func readSensors(job section) []Sensor {
	var sensors []Sensor
	ports := map[string]*yaml.Node{}
	for _, n := range job.list("sensors") {
		s := job.doc.section(n, "sensor", append([]string{"port", "link", "baud", "columns", "separator", "decimal"}, slaveKeys...)...)
		s.need("port", "link")
		sensor := Sensor{Port: s.text("port"), Link: s.choice("link", "binary", "delimited", "lineprotocol", columnsLink, modbusLink), Baud: baud(s)}
		sensor.Columns = readColumns(s, sensor.Link)
		sensor.Slave = readSlave(s, sensor.Link)
		if first := ports[sensor.Port]; first != nil && sensor.Port != "" {
			job.doc.fail(s.values["port"], "sensor.port %s is taken by the sensor at %d:%d", sensor.Port, first.Line, first.Column)
		}
		ports[sensor.Port] = n
		sensors = append(sensors, sensor)
	}
	return sensors
}

func baud(s section) int {
	n := s.scalar("baud")
	if n == nil {
		return series.DefaultBaud
	}
	rate, err := strconv.Atoi(n.Value)
	if err != nil || rate < lowestBaud || rate > highestBaud {
		s.doc.fail(n, "%s must be a whole number from %d to %d, not %s", s.path("baud"), lowestBaud, highestBaud, n.Value)
		return series.DefaultBaud
	}
	return rate
}

// elements are what an analysis of steel may list.
var elements = []string{"C", "Si", "Mn", "P", "S", "Cr", "Mo", "V", "Ni", "Cu", "B", "Al", "Nb", "Ti", "N"}

func readMaterial(job section) (m Material) {
	s, ok := job.sub("material", "grade", "thickness", "analysis")
	if !ok {
		return m
	}
	m.Grade = s.text("grade")
	m.Thickness = positive[quantity.Metres](s, "thickness")
	if analysis, ok := s.sub("analysis", elements...); ok {
		m.Analysis = readAnalysis(analysis)
	}
	return m
}

// readAnalysis reads mass % by element, the unit of every mill sheet: the sign
// may be left out.
func readAnalysis(s section) map[string]float64 {
	analysis := map[string]float64{}
	for _, element := range elements {
		n := s.scalar(element)
		if n == nil {
			continue
		}
		share, err := quantity.Parse[quantity.Ratio](strings.TrimSuffix(strings.TrimSpace(n.Value), "%"))
		if err != nil || share < 0 || share > 100 {
			s.doc.fail(n, "%s %q: write mass %% from 0 to 100", s.path(element), n.Value)
			continue
		}
		analysis[element] = float64(share)
		doubt(s, element, share, n)
	}
	return analysis
}

func readConsumables(job section) (c Consumables) {
	s, ok := job.sub("consumables", "wire", "wire_batch", "gas", "gas_batch", "hydrogen")
	if !ok {
		return c
	}
	c.Wire, c.WireBatch = s.text("wire"), s.text("wire_batch")
	c.Gas, c.GasBatch = s.text("gas"), s.text("gas_batch")
	c.Hydrogen = positive[quantity.Hydrogen](s, "hydrogen")
	return c
}

func readPeople(job section) (p People) {
	s, ok := job.sub("people", "operator", "inspector")
	if !ok {
		return p
	}
	p.Operator, p.Inspector = s.text("operator"), s.text("inspector")
	return p
}
