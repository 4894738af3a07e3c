package formula

import (
	"encoding/json"
	"math"
	"math/rand/v2"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"arctally/acquire/quantity/quantitytest"
	"arctally/cmd/internal/explain"
)

// object computes a formula and returns its answer as programs get it.
func object(t *testing.T, operands ...string) (object map[string]any) {
	t.Helper()
	answer, err := Calculate(operands)
	require.NoError(t, err)
	text, err := answer.JSON()
	require.NoError(t, err)
	require.NoError(t, json.Unmarshal([]byte(text), &object), text)
	return object
}

// benchRow tells how a row of a table of standards is written at the bench.
type benchRow struct {
	quantity string
	keys     map[string]string // of the row, to those of calc
	figures  map[string]string // expected in the row, to the JSON fields
}

var benchRows = map[string]benchRow{
	"thermal.CoolingTime": {
		"cooling-time",
		map[string]string{"T0": "preheat", "Q": "heat-input", "d": "thickness", "F2": "shape-2d", "F3": "shape-3d"},
		map[string]string{"t85": "t85_s", "t2": "t85_2d_s", "t3": "t85_3d_s"},
	},
	"thermal.Transition": {
		"cooling-time",
		map[string]string{"T0": "preheat", "Q": "heat-input", "d": "thickness", "F2": "shape-2d", "F3": "shape-3d"},
		map[string]string{"dt": "transition_thickness_mm"},
	},
	"thermal.Preheat": {
		"preheat", map[string]string{"CET": "cet", "d": "thickness", "HD": "hydrogen", "Q": "heat-input"}, map[string]string{"Tp": "preheat_c"},
	},
	"thermal.PreheatSEW088": {
		"preheat", map[string]string{"CET": "cet", "d": "thickness", "HD": "hydrogen", "Q": "heat-input"}, map[string]string{"Tp": "preheat_sew088_c"},
	},
	"thermal.Equivalents": {"carbon-equivalent", nil, map[string]string{"IIW": "iiw", "D11": "d11", "CET": "cet", "Pcm": "pcm"}},
}

// TestCalc_Standards takes the rows of the tables through the command's room.
func TestCalc_Standards(t *testing.T) {
	done := 0
	for _, row := range quantitytest.Rows(t, "thermal.tsv") {
		bench, ok := benchRows[row.Formula]
		if !ok {
			continue
		}
		done++
		t.Run(row.ID, func(t *testing.T) {
			args := []string{bench.quantity}
			for name, value := range row.Inputs {
				if key, renamed := bench.keys[name]; renamed {
					name = key
				}
				args = append(args, name+"="+value)
			}
			got := object(t, args...)
			tolerance, err := strconv.ParseFloat(row.Tolerance, 64)
			require.NoError(t, err)
			for name, field := range bench.figures {
				if expected, has := row.Expected[name]; has {
					digits, _, _ := strings.Cut(expected, " ")
					want, err := strconv.ParseFloat(digits, 64)
					require.NoError(t, err)
					assert.InDelta(t, want, got[field], tolerance, field)
				}
			}
			if regime, has := row.Expected["regime"]; has {
				assert.Equal(t, regime+"-D", got["regime"])
			}
		})
	}
	assert.Equal(t, 33, done)
}

// TestCalc_Figures holds the other quantities to check values by their id: exact
// arithmetic, to what a float64 keeps.
func TestCalc_Figures(t *testing.T) {
	for _, test := range []struct {
		id, line  string
		want      map[string]float64
		tolerance float64
	}{
		{"HI-04", "heat-input voltage=24V current=120A travel=10in/min process=SAW", map[string]float64{"arc_energy_kj_per_mm": 17.280 / 25.4, "heat_input_kj_per_mm": 17.280 / 25.4}, 1e-12},
		{"HI-05", "heat-input voltage=20V current=180A travel=300mm/min process=MAG", map[string]float64{"arc_energy_kj_per_mm": 0.72, "heat_input_kj_per_mm": 0.576}, 1e-12},
		{"HI-06", "heat-input voltage=18V current=0.15kA travel=5mm/s process=GMAW", map[string]float64{"heat_input_kj_per_mm": 0.432}, 1e-12},
		{"HI-01 TIG", "heat-input voltage=18V current=150A travel=5mm/s process=tig", map[string]float64{"heat_input_kj_per_mm": 0.324}, 1e-12},
		{"WD-03", "deposit wire-diameter=.035in wire-speed=250ipm travel=12ipm efficiency=100%", map[string]float64{"g_per_m": 4.8726, "kg_per_h": 1.8565}, 1e-4},
		{"WD-09", "deposit wire-diameter=1.6mm wire-speed=6m/min travel=300mm/min", map[string]float64{"g_per_m": 15.7834}, 1e-4},
		{"WD-11", "deposit wire-diameter=0.9mm wire-speed=6m/min travel=300mm/min efficiency=0.95", map[string]float64{"kg_per_h": 1.7079, "bead_area_mm2": 12.0873}, 1e-4},
		{"WD-12", "deposit wire-diameter=1.2mm wire-speed=5m/min travel=300mm/min efficiency=1", map[string]float64{"kg_per_h": 2.6634}, 1e-4},
		{"WD-14", "deposit wire-diameter=.035in wire-speed=250ipm travel=12ipm efficiency=1", map[string]float64{"bead_area_mm2": 12.9316}, 1e-4},
		{"WD-16", "deposit mass=3lb wire-mass=4lb", map[string]float64{"efficiency": 0.75}, 1e-15},
		{"WD-16 in kg, with stubs", "deposit mass=1.5kg wire-mass=2100g stub-mass=100g", map[string]float64{"efficiency": 0.75}, 1e-12},
		{"weighed and timed", "deposit mass=300g time=10min", map[string]float64{"kg_per_h": 1.8}, 1e-12},
		{"weighed and timed in US units", "deposit mass=1lb time=.25h", map[string]float64{"kg_per_h": 4 * 0.45359237}, 1e-12},
		{"both", "deposit mass=285g time=600s wire-mass=300g", map[string]float64{"kg_per_h": 1.71, "efficiency": 0.95}, 1e-12},
		{"BG-01", "bore diameter=80mm speed=1.5rpm pitch=3mm bead-area=6mm2", map[string]float64{"travel_mm_min": 376.9911}, 1e-4},
		{"BG-03", "bore diameter=83mm speed=1.5rpm pitch=3mm bead-area=6mm2", map[string]float64{"path_per_turn_mm": 260.769447}, 1e-6},
		{"BG-06", "bore diameter=83mm speed=1.5rpm pitch=3mm bead-area=6.7151mm2", map[string]float64{"layer_thickness_mm": 2.30222, "diameter_after_mm": 78.39556}, 2e-5},
		{"PH-07", "carbon-equivalent C=0.28 hydrogen=10ml/100g", map[string]float64{"pcm": 0.28, "hydrogen_control_index": 4.36}, 1e-12},
		{"mass % with its sign", "carbon-equivalent C=0.2% Mn=1.2", map[string]float64{"iiw": 0.4}, 1e-12},
		{"zone", "preheat cet=.3 thickness=2in hydrogen=5ml/100g heat-input=25.4kJ/in", map[string]float64{"preheat_zone_mm": 75}, 1e-12},
	} {
		t.Run(test.id, func(t *testing.T) {
			got := object(t, strings.Fields(test.line)...)
			for field, want := range test.want {
				assert.InDelta(t, want, got[field], test.tolerance, field)
			}
			assert.NotEmpty(t, got["source"])
			assert.Contains(t, []string{"secondary", "constructed"}, got["standing"])
		})
	}
}

// What a way of weighing does not give, its answer has not; and what is half of two
// ways is neither.
func TestCalc_WaysOfTheDeposit(t *testing.T) {
	for line, absent := range map[string][]string{
		"deposit mass=300g time=10min":                                     {"efficiency", "g_per_m", "bead_area_mm2"},
		"deposit mass=3lb wire-mass=4lb":                                   {"kg_per_h", "g_per_m", "bead_area_mm2"},
		"deposit wire-diameter=1mm wire-speed=5m/min travel=300mm/min":     {"efficiency"},
		"deposit mass=3lb wire-mass=4lb stub-mass=0lb":                     {"kg_per_h"},
		"deposit mass=290g time=10min wire-mass=310g stub-mass=10g --json": nil,
	} {
		got := object(t, strings.Fields(strings.TrimSuffix(line, " --json"))...)
		for _, key := range absent {
			assert.NotContains(t, got, key, line)
		}
	}
	for _, line := range []string{
		"deposit", "deposit mass=3lb", "deposit time=10min", "deposit wire-mass=4lb", "deposit mass=3lb stub-mass=1lb",
		"deposit mass=3lb time=10min stub-mass=1lb", "deposit wire-diameter=1mm wire-speed=5m/min", "deposit mass=3lb time=10min travel=300mm/min",
		"deposit mass=3lb wire-mass=4lb efficiency=0.9", "deposit wire-diameter=1mm wire-speed=5m/min travel=300mm/min mass=3lb",
	} {
		_, err := Calculate(strings.Fields(line))
		var wrong *explain.MisuseError
		require.ErrorAs(t, err, &wrong, line)
		assert.Contains(t, err.Error(), "deposit takes wire-diameter= wire-speed= travel= [efficiency=], or mass= time=, or mass= wire-mass= [stub-mass=]")
	}
	answer, err := Calculate(strings.Fields("deposit mass=4lb wire-mass=4lb"))
	require.NoError(t, err)
	assert.Empty(t, answer.warnings)
	answer, err = Calculate(strings.Fields("deposit mass=3lb wire-mass=4lb"))
	require.NoError(t, err)
	assert.Contains(t, answer.Text(), "75.0 %")
	assert.Contains(t, answer.Text(), "92 to 99 %")
	_, err = Calculate(strings.Fields("deposit mass=4.1lb wire-mass=4lb"))
	assert.ErrorContains(t, err, "a deposit of 1.860 kg from 1.814 kg of wire used up is an efficiency above 100 %")
}

// printed is a number as a person reads it.
var printed = regexp.MustCompile(`[0-9][0-9.]*(e[+-][0-9]+)?`)

// Whatever is typed in, no figure of an answer has more digits than a person reads,
// and in other units the same comes out.
func TestCalc_DigitsThatAPersonReads(t *testing.T) {
	random := rand.New(rand.NewPCG(2, 2))
	size := func(metric, us string) string {
		v := strconv.FormatFloat(math.Pow(10, 6*random.Float64()-3), 'g', 1+random.IntN(12), 64)
		if random.IntN(2) == 0 {
			return v + us
		}
		return v + metric
	}
	answered := 0
	for range 3000 {
		for _, line := range []string{
			"heat-input voltage=" + size("V", "mV") + " current=" + size("A", "kA") + " travel=" + size("mm/min", "ipm") + " process=MAG",
			"deposit wire-diameter=" + size("mm", "in") + " wire-speed=" + size("m/min", "ipm") + " travel=" + size("mm/min", "ipm"),
			"deposit mass=" + size("g", "lb") + " time=" + size("min", "h") + " wire-mass=" + size("kg", "lb"),
			"bore diameter=" + size("mm", "in") + " speed=" + size("rpm", "deg/s") + " pitch=" + size("mm", "in") + " bead-area=" + size("mm2", "in2"),
			"cooling-time preheat=" + size("degC", "degF") + " heat-input=" + size("kJ/mm", "kJ/in") + " thickness=" + size("mm", "in"),
			"preheat cet=0." + strconv.Itoa(200000+random.IntN(300000)) + " thickness=" + size("mm", "in") + " hydrogen=5ml/100g heat-input=" + size("kJ/mm", "kJ/in"),
		} {
			answer, err := Calculate(strings.Fields(line))
			if err != nil {
				continue
			}
			answered++
			for said := range strings.Lines(answer.Text()) {
				for _, number := range printed.FindAllString(said, -1) {
					digits, _, _ := strings.Cut(strings.ReplaceAll(number, ".", ""), "e")
					assert.LessOrEqual(t, len(strings.Trim(digits, "0")), 7, "%s: %s", line, said)
				}
			}
		}
	}
	assert.Greater(t, answered, 8000)
}

// TestCalc_BothUnitSystems writes the same inputs in either system.
func TestCalc_BothUnitSystems(t *testing.T) {
	for _, pair := range [][2]string{
		{"heat-input voltage=20V current=180A travel=254mm/min process=MAG", "heat-input voltage=20000mV current=.18kA travel=10ipm process=MAG"},
		{"cooling-time preheat=100degC heat-input=1kJ/mm thickness=25.4mm", "cooling-time preheat=212degF heat-input=25.4kJ/in thickness=1in"},
		{"preheat cet=.35 thickness=50.8mm hydrogen=5ml/100g heat-input=1kJ/mm", "preheat cet=.35% thickness=2in hydrogen=5ml/100g heat-input=10kJ/cm"},
		{"deposit mass=453.59237g time=30min wire-mass=2kg stub-mass=0.90718474kg", "deposit mass=1lb time=0.5h wire-mass=4.409245243697551lb stub-mass=2lb"},
		{"deposit wire-diameter=.9mm wire-speed=6.35m/min travel=254mm/min", "deposit wire-diameter=900um wire-speed=250ipm travel=10ipm"},
		{"bore diameter=76.2mm speed=1.5rpm pitch=2.54mm bead-area=6.4516mm2", "bore diameter=3in speed=9deg/s pitch=.1in bead-area=.01in2"},
	} {
		metric, us := object(t, strings.Fields(pair[0])...), object(t, strings.Fields(pair[1])...)
		for field, value := range metric {
			if number, ok := value.(float64); ok {
				assert.InEpsilon(t, number, us[field], 1e-12, field)
			}
		}
	}
}

// FuzzCalc wants every line answered, refused, or called wrong use: never a panic, and
// never a number that JSON cannot carry.
func FuzzCalc(f *testing.F) {
	for _, formula := range All() {
		f.Add(formula.Name + " " + formula.Example)
	}
	f.Add("cooling-time preheat=-1e308degF heat-input=1e-308kJ/mm thickness=1e308ft shape-2d=1%")
	f.Add("deposit wire-diameter=1e200m wire-speed=1e200m/s travel=1e-200m/s")
	f.Add("carbon-equivalent C=1e9 C=%% hydrogen==")
	f.Fuzz(func(t *testing.T, line string) {
		operands := strings.Fields(line)
		if len(operands) == 0 {
			return // the command wants one
		}
		answer, err := Calculate(operands)
		if err != nil {
			require.NotEmpty(t, err.Error())
			require.NotEmpty(t, explain.Of(err).Hint, "what to do next")
			return
		}
		text, err := answer.JSON()
		require.NoError(t, err)
		require.True(t, json.Valid([]byte(text)), text)
	})
}
