package procedure

import (
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// spoil returns a text in which one part, that must be there, is another. The
// marks ① and ② are taken out of the text, and stand for their line and column in
// what is wanted.
func spoil(t *testing.T, text []byte, old, replacement, want string) (spoilt []byte, wanted string) {
	t.Helper()
	require.Equal(t, 1, strings.Count(string(text), old), "%q", old)
	changed := strings.Replace(string(text), old, replacement, 1)
	unmarked := strings.NewReplacer("①", "", "②", "")
	for _, mark := range []string{"①", "②"} {
		before, _, found := strings.Cut(changed, mark)
		before = unmarked.Replace(before)
		require.Equal(t, found, strings.Contains(want, mark), "%s in %q", mark, want)
		line := strings.Count(before, "\n")
		column := len([]rune(before[strings.LastIndex(before, "\n")+1:]))
		want = strings.ReplaceAll(want, mark, fmt.Sprintf("%d:%d", line+1, column+1))
	}
	return []byte(unmarked.Replace(changed)), want
}

// TestParseJob_Errors spoils the demo job in one place each.
func TestParseJob_Errors(t *testing.T) {
	demo := jobText(t, "demo/job.yaml")
	for id, c := range map[string]struct{ old, replacement, want string }{
		"unknown key":         {"rotation:", "①rotaton:", `①: the document has no key "rotaton"; did you mean rotation?`},
		"unknown nested key":  {"{worn_diameter", "②{①worn_diametre", `①: bore has no key "worn_diametre"; did you mean worn_diameter?` + "\n②: bore.worn_diameter is missing"},
		"key like no other":   {"start_angle: 0 deg", "①zzzzzzzz: 1", `①: rotation has no key "zzzzzzzz"; write speed or start_angle`},
		"duplicate key":       {"voltage: 17.5 V,", "voltage: ②17.5 V, ①voltage: 18 V,", "①: setpoints.voltage is written twice; its first value is at ②"},
		"missing unit":        {"length: 60 mm", "length: ①60", `①: bore.length "60": no unit; write mm, m, cm, um, in or ft`},
		"wrong dimension":     {"140 A", "①140 V", `①: setpoints.current "140 V": V is a unit of voltage, not of current; write A, mA or kA`},
		"not a number":        {"pitch: 3.0 mm", "pitch: ①three mm", `①: deposit.pitch "three mm": no number; write a number and its unit, mm, m, cm, um, in or ft`},
		"negative diameter":   {"worn_diameter: 92.0 mm", "worn_diameter: ①-92.0 mm", "①: bore.worn_diameter must be above zero, not -92.0 mm"},
		"no pitch":            {"{pattern: helix, pitch: 3.0 mm, ", "①{pattern: helix, ", "①: deposit.pitch is missing"},
		"zero pitch":          {"pitch: 3.0 mm", "pitch: ①0 mm", "①: deposit.pitch must be above zero, not 0 mm"},
		"finish over worn":    {"finish_diameter: 90.0 mm", "finish_diameter: ①93.0 mm", "①: bore.finish_diameter is more than bore.worn_diameter: 93.0 mm over 92.0 mm"},
		"weld-to over finish": {"weld_to_diameter: 86.0 mm", "weld_to_diameter: ①91.0 mm", "①: bore.weld_to_diameter is more than bore.finish_diameter: 91.0 mm over 90.0 mm"},
		"axis":                {"axis: horizontal", "axis: ①lying", `①: bore.axis cannot be "lying"; write horizontal, vertical or an angle in deg`},
		"pattern":             {"pattern: helix", "pattern: ①spiral", `①: deposit.pattern cannot be "spiral"; write helix, rings, segment-reversing, segment-one-way or straight`},
		"overlapping gaps": {
			"{from: 80 deg, to: 116 deg}", "②{from: 80 deg, to: 116 deg}, ①{from: 100 deg, to: 130 deg}",
			"①: gap 100 deg to 130 deg overlaps gap 80 deg to 116 deg at ②",
		},
		"gap over the mark overlaps": {
			"{from: 80 deg, to: 116 deg}", "②{from: 10 deg, to: 12 deg}, ①{from: 350 deg, to: 20 deg}",
			"①: gap 350 deg to 20 deg overlaps gap 10 deg to 12 deg at ②",
		},
		"gaps all around": {
			"[{from: 80 deg, to: 116 deg}]", "①[{from: 0 deg, to: 180 deg}, {from: 180 deg, to: 360 deg}]",
			"①: deposit.gaps leave nothing to weld",
		},
		"gap without width":       {"{from: 80 deg, to: 116 deg}", "①{from: 80 deg, to: 80 deg}", "①: gap 80 deg to 80 deg has no width"},
		"gap of a turn":           {"{from: 80 deg, to: 116 deg}", "①{from: 0 deg, to: 360 deg}", "①: gap 0 deg to 360 deg leaves nothing to weld"},
		"gap without end":         {"{from: 80 deg, to: 116 deg}", "①{from: 80 deg}", "①: gap.to is missing"},
		"gap beyond a turn":       {"from: 80 deg", "from: ①380 deg", "①: gap.from must be from 0 to below 360 deg, not 380 deg"},
		"gap ends beyond a turn":  {"to: 116 deg", "to: ①361 deg", "①: gap.to must be from 0 to 360 deg, not 361 deg"},
		"gaps no list":            {"[{from: 80 deg, to: 116 deg}]", "①80 deg", "①: deposit.gaps must be a list: [...]"},
		"length of a helix":       {"pitch: 3.0 mm,", "pitch: 3.0 mm, length: ①1 m,", "①: deposit.length: the length of a bead follows from the bore; only a straight one is declared"},
		"gaps of a straight bead": {"pattern: helix, pitch: 3.0 mm, wire_diameter: 0.9 mm, gaps: [", "pattern: straight, gaps: ①[", "①: deposit.gaps: a straight bead has no gaps"},
		"efficiency":              {"wire_diameter: 0.9 mm", "wire_diameter: 0.9 mm, efficiency: ①95", "①: deposit.efficiency must be above 0 and at most 100 %, not 95"},
		"efficiency of nothing":   {"wire_diameter: 0.9 mm", "wire_diameter: 0.9 mm, efficiency: ①0 %", "①: deposit.efficiency must be above 0 and at most 100 %, not 0 %"},
		"efficiency above all":    {"wire_diameter: 0.9 mm", "wire_diameter: 0.9 mm, efficiency: ①100.1 %", "①: deposit.efficiency must be above 0 and at most 100 %, not 100.1 %"},
		"start angle":             {"start_angle: 0 deg", "start_angle: ①360 deg", "①: rotation.start_angle must be from 0 to below 360 deg, not 360 deg"},
		"unknown link":            {"link: binary", "link: ①telepathy", `①: sensor.link cannot be "telepathy"; write binary, delimited, lineprotocol, columns or modbus`},
		"bad baud":                {"921600", "①fast", "①: sensor.baud must be a whole number from 300 to 4000000, not fast"},
		"baud out of range":       {"921600", "①110", "①: sensor.baud must be a whole number from 300 to 4000000, not 110"},
		"port taken": {
			"[{port: /dev/serial/by-id/...", "[{port: P, link: delimited}, {port: Q, link: binary}, {port: ①P",
			"①: sensor.port P is taken by the sensor at 7:11",
		},
		"columns of another link": {"link: binary", "link: binary, columns: ①{voltage: 1}", "①: sensor.columns is for link: columns, not for binary"},
		"meter without columns":   {"[{port: /dev/serial/by-id/...", "[①{port: P, link: columns}, {port: /dev/serial/by-id/...", "①: sensor.columns is missing"},
		"no column":               {"[{port: /dev/serial/by-id/...", "[{port: P, link: columns, columns: ①{}}, {port: /dev/serial/by-id/...", "①: sensor.columns names no column"},
		"no column number":        {"[{port: /dev/serial/by-id/...", "[{port: P, link: columns, columns: {gas_flow: ①2*0}}, {port: /dev/serial/by-id/...", `①: sensor.columns.gas_flow "2*0": the factor is a number from 1e-09 to 1e+09, or the same below zero`},
		"voltage alone":           {"[{port: /dev/serial/by-id/...", "[{port: P, link: columns, columns: {voltage: ①2}}, {port: /dev/serial/by-id/...", "①: sensor.columns.voltage counts only together with sensor.columns.current"},
		"column twice":            {"[{port: /dev/serial/by-id/...", "[{port: P, link: columns, columns: {voltage: 2, current: ①2*10}}, {port: /dev/serial/by-id/...", "①: sensor.columns.current: column 2 is another channel already"},
		"commas of two kinds":     {"[{port: /dev/serial/by-id/...", "[{port: P, link: columns, decimal: comma, separator: ①comma, columns: {gas_flow: 1}}, {port: /dev/serial/by-id/...", "①: sensor.separator: a comma cannot part the columns and be the decimal mark too"},
		"unknown element":         {"Mn: 1.4", "①Mm: 1.4", `①: material.analysis has no key "Mm"; did you mean Mn?`},
		"content below none":      {"Mn: 1.4", "Mn: ①-0.1", `①: material.analysis.Mn "-0.1": write mass % from 0 to 100`},
		"impossible content":      {"Mn: 1.4", "Mn: ①140", `①: material.analysis.Mn "140": write mass % from 0 to 100`},
		"empty value":             {"job: Demo loader, lower boom pin bore", "job:①", "①: job has no value"},
		"list for a value":        {"operator: Operator 1", "operator: ①[Operator 1]", "①: people.operator must be a single value"},
		"word for a section":      {"{speed: 1.25 rpm, start_angle: 0 deg}", "①slow", "①: rotation must be key: value pairs"},
		"alias": {
			"people: {operator: Operator 1, inspector: Inspector 1}", "people: {operator: &a Operator 1, inspector: ①*a}",
			"①: people.inspector is an alias; write the value out",
		},
		"customer unknown key": {"order: D-1024", "①phone: D-1024", `①: customer has no key "phone"; write name or order`},
		"long machine":         {"serial: DL-0017", "serial: ①" + strings.Repeat("\u6587", 121), "①: machine.serial has 121 letters; write 120 at most"},
		"order of two lines":   {"order: D-1024", "order: ①\"a\\nb\"", "①: customer.order must be one line of text"},
		"bracket left open":    {"axis: horizontal}", "axis: horizontal", "3:1: not YAML: did not find expected ',' or '}'"},
		"tab for indentation":  {"rotation: {", "rotation:\n\t{", "6:1: not YAML: found character that cannot start any token"},
		"two documents":        {"rotation:", "---\n①rotation:", "①: a second document begins here; write one document in a file"},
	} {
		t.Run(id, func(t *testing.T) {
			text, want := spoil(t, demo, c.old, c.replacement, c.want)
			_, err := ParseJob("job.yaml", text)
			assertErrors(t, err, "job.yaml", want)
		})
	}
}

// assertErrors compares errors with "line:column: reason" lines.
func assertErrors(t *testing.T, err error, file, want string) {
	t.Helper()
	require.Error(t, err)
	var all Errors
	require.ErrorAs(t, err, &all)
	var first *Error
	require.ErrorAs(t, err, &first)
	assert.Equal(t, all[0], first)
	var lines []string
	for line := range strings.SplitSeq(want, "\n") {
		lines = append(lines, file+":"+line)
	}
	assert.ElementsMatch(t, lines, strings.Split(err.Error(), "\n"))
}

func TestParseJob_MissingKeys(t *testing.T) {
	for text, want := range map[string]string{
		"":                "1:1: document is empty",
		"# only a word\n": "1:1: document is empty",
		"---\n...\n":      "1:1: document is empty",
		"- a\n- b\n":      "1:1: the document must be key: value pairs",
		"job: A\n":        "1:1: procedure is missing\n1:1: deposit is missing",
		"job: A\nprocedure: p\ndeposit: {pattern: rings, pitch: 3 mm}\n":                      "1:1: bore is missing",
		"job: A\nprocedure: p\ndeposit: {pitch: 3 mm}\n":                                      "3:10: deposit.pattern is missing",
		"job: A\nprocedure: p\ndeposit: {pattern: rings, pitch: 3 mm}\nbore: {length: 1 m}\n": "4:7: bore.worn_diameter is missing",
		"job: A\nprocedure: p\ndeposit: {pattern: straight}\nsensors: [{baud: 9600}]\n":       "4:11: sensor.port is missing\n4:11: sensor.link is missing",
		"job: A\nprocedure: p\ndeposit: {pattern: straight}\n? [a]\n: b\n":                    "4:3: the document has a key that is not a word",
	} {
		_, err := ParseJob("job.yaml", []byte(text))
		assertErrors(t, err, "job.yaml", want)
	}
}

func TestParseJob_Instruments(t *testing.T) {
	for instruments, want := range map[string]string{
		"{gas: {}}":                                      `4:15: instruments has no key "gas"; write voltage, current, wire_speed, travel, gas_flow or temperature`,
		"{voltage: {standard_uncertainty: 0.5}}":         `4:47: instruments.voltage.standard_uncertainty "0.5": no unit; write it in %`,
		"{voltage: {degrees_of_freedom: 0.5}}":           "4:45: instruments.voltage.degrees_of_freedom must be 1 or more, not 0.5",
		"{voltage: {standard_uncertainty: 101 %}}":       "4:47: instruments.voltage.standard_uncertainty must be from 0 to 100 %, not 101 %",
		"{voltage: {gain: 0}}":                           "4:31: instruments.voltage.gain must be above zero, not 0",
		"{voltage: {offset: 1 A}}":                       `4:33: instruments.voltage.offset "1 A": A is a unit of current, not of voltage; write V, mV or kV`,
		"{temperature: {offset: 2 degF}}":                `4:37: instruments.temperature.offset "2 degF": a difference must be written in degC`,
		"{voltage: {date: May}}":                         `4:31: instruments.voltage.date "May": write a day as 2026-05-04`,
		"{voltage: {date: 2026-05-04, due: 2026-05-03}}": "4:48: instruments.voltage.due lies before instruments.voltage.date",
		"{voltage: {certificate: }}":                     "4:38: instruments.voltage.certificate has no value",
	} {
		_, err := ParseJob("job.yaml", []byte("job: A\nprocedure: p\ndeposit: {pattern: straight}\ninstruments: "+instruments+"\n"))
		assertErrors(t, err, "job.yaml", want)
	}
}

func TestParseProcedure_Errors(t *testing.T) {
	demo := jobText(t, "demo/procedures/gmaw-short-arc.yaml")
	const undefined = "8:15: limits.heat_input needs judge.definition: write EN 1011-1 or arc energy"
	for id, c := range map[string]struct{ old, replacement, want string }{
		"reversed limits":     {"16.5..19.0 V", "①19.0..16.5 V", `①: limits.voltage "19.0..16.5 V": limits are reversed; write the lower one first`},
		"missing unit":        {"110..160 A", "①110..160", `①: limits.current "110..160": no unit; write A, mA or kA`},
		"no window":           {"110..160 A", "①140 A", `①: limits.current "140 A": not a window; write low..high, low.. or ..high and the unit, A, mA or kA`},
		"wrong dimension":     {"0.25..0.55 kJ/mm", "①0.25..0.55 kJ", `①: limits.heat_input "0.25..0.55 kJ": kJ is a unit of energy, not of energy per length; write kJ/mm, J/mm, J/m, kJ/cm, kJ/in or J/in`},
		"negative window":     {"110..160 A", "①-10..160 A", `①: limits.current "-10..160 A": there are no values down there`},
		"window of zero":      {"110..160 A", "①..0 A", `①: limits.current "..0 A": there are no values down there`},
		"below absolute zero": {"..250 degC", "①..-280 degC", `①: limits.interpass "..-280 degC": there are no values down there`},
		"unknown limit":       {"interpass:", "①interpas:", `①: limits has no key "interpas"; did you mean interpass?`},
		"unknown process":     {"process: MAG ", "process: ①GLUE ", `①: process cannot be "GLUE"; write MAG, MIG, MMA, TIG, SAW, plasma or cored wire`},
		"unknown definition":  {"definition: EN 1011-1", "definition: ①EN 1011-9", `①: judge.definition cannot be "EN 1011-9"; write EN 1011-1 or arc energy` + "\n" + undefined},
		"definition open":     {"definition: EN 1011-1, ", "", undefined},
		"unknown power":       {"power: instantaneous", "power: ①rms", `①: judge.power cannot be "rms"; write instantaneous or average`},
		"no averaging":        {"average_over: 0.5 s", "average_over: ①0 s", "①: judge.average_over must be above zero, not 0 s"},
		"negative dwell":      {"dwell: 1.0 s", "dwell: ①-1.0 s", "①: judge.dwell cannot be below zero, as -1.0 s is"},
		"dwell without unit":  {"dwell: 1.0 s", "dwell: ①1.0", `①: judge.dwell "1.0": no unit; write s, ms, us, min or h`},
		"guard band a word":   {"guard_band: 1.0", "guard_band: ①wide", `①: judge.guard_band "wide": no number; write a number and its unit, %`},
		"missing name":        {"procedure: DEMO-07 rev 2\n", "", "1:1: procedure is missing"},
	} {
		t.Run(id, func(t *testing.T) {
			text, want := spoil(t, demo, c.old, c.replacement, c.want)
			_, err := ParseProcedure("p.yaml", text)
			assertErrors(t, err, "p.yaml", want)
		})
	}
}

func TestErrors_AreInTheOrderOfTheFile(t *testing.T) {
	_, err := ParseProcedure("p.yaml", []byte("limits: {voltage: 19..16 V, current: 1 A}\nprocess: GLUE\nproces: MAG\n"))
	var all Errors
	require.ErrorAs(t, err, &all)
	assert.Len(t, all.Unwrap(), 5)
	for i, e := range all[1:] {
		before := all[i]
		assert.True(t, before.Line < e.Line || before.Line == e.Line && before.Column <= e.Column, "%v before %v", before, e)
	}
	mixed := Errors{{Line: 2, Column: 1}, {Line: 1, Column: 9}, {Line: 1, Column: 3}, {Line: 1, Column: 20}}
	require.ErrorAs(t, mixed.sorted(), &all)
	assert.Equal(t, Errors{{Line: 1, Column: 3}, {Line: 1, Column: 9}, {Line: 1, Column: 20}, {Line: 2, Column: 1}}, all)
}

// What stands at a limit is within it.
func TestParseJob_ToTheLimit(t *testing.T) {
	demo := jobText(t, "demo/job.yaml")
	for id, c := range map[string]struct {
		old, replacement string
		want             func(*Job) bool
	}{
		"bore as wide as worn": {"worn_diameter: 92.0 mm, finish_diameter: 90.0 mm, weld_to_diameter: 86.0 mm", "worn_diameter: 92.0 mm, finish_diameter: 92.0 mm, weld_to_diameter: 92.0 mm", func(j *Job) bool { return j.Bore.WeldToDiameter == j.Bore.WornDiameter }},
		"all of the wire":      {"wire_diameter: 0.9 mm", "wire_diameter: 0.9 mm, efficiency: 100 %", func(j *Job) bool { return j.Deposit.Efficiency == 1 }},
		"gap to the mark":      {"{from: 80 deg, to: 116 deg}", "{from: 350 deg, to: 0 deg}", func(j *Job) bool { return j.Deposit.Gaps[0].Width() == 10 }},
		"gap up to a turn":     {"{from: 80 deg, to: 116 deg}", "{from: 350 deg, to: 360 deg}", func(j *Job) bool { return j.Deposit.Gaps[0].Width() == 10 }},
		"slowest port":         {"921600", "300", func(j *Job) bool { return j.Sensors[0].Baud == 300 }},
		"fastest port":         {"921600", "4000000", func(j *Job) bool { return j.Sensors[0].Baud == 4_000_000 }},
		"none of an element":   {"Mn: 1.4", "Mn: 0", func(j *Job) bool { return j.Material.Analysis["Mn"] == 0 }},
		"nothing else":         {"Mn: 1.4", "Mn: 100 %", func(j *Job) bool { return j.Material.Analysis["Mn"] == 100 }},
	} {
		text, _ := spoil(t, demo, c.old, c.replacement, "")
		job, err := ParseJob("job.yaml", text)
		require.NoError(t, err, id)
		assert.True(t, c.want(job), id)
	}
	text, _ := spoil(t, jobText(t, "demo/procedures/gmaw-short-arc.yaml"), "110..160 A", "0..160 A", "")
	p, err := ParseProcedure("p.yaml", text)
	require.NoError(t, err)
	assert.True(t, p.Limits.Current.HasLow)
}

// A word of 64 letters is still compared with others, a longer one is as far off as can be.
func TestEditDistance_longestWord(t *testing.T) {
	long := strings.Repeat("a", 63)
	assert.Equal(t, 1, editDistance(long+"a", long+"b"))
	assert.Equal(t, 64, editDistance(long+"ab", long))
	assert.Equal(t, 64, editDistance(long, long+"ab"))
	assert.Equal(t, 3, editDistance("kitten", "sitting"))
}
