package quantity

import (
	"os"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestParse_FractionsThatNoRuleHas(t *testing.T) {
	const divided = ": a rule is divided into halves, 4ths, 8ths, 16ths, 32nds or 64ths; write one of these, or a decimal number"
	for text, reason := range map[string]string{
		"5/7 in":     "5/7" + divided,
		"5/128 in":   "5/128" + divided,
		"0/8 in":     "0/8" + divided,
		"5/0 in":     "5/0" + divided,
		"5/1 in":     "5/1" + divided,
		"3 13/8 in":  "3 13/8: the fraction is not below 1; write it as 3-5/8",
		"8/8 in":     "8/8: the fraction is not below 1; write it as 3-5/8",
		"-5/8 in":    "-5/8: a fraction has no sign",
		"-3-5/8 in":  "-3-5/8: a fraction has no sign",
		"3 5/8 mm":   "3 5/8: a fraction is read of inches alone; write it in in, or as a decimal number",
		"3.5 5/8 in": `"5/8 in" is not a unit of length; write mm, m, cm, um, in or ft`,
		"3 -5/8 in":  `"-5/8 in" is not a unit of length; write mm, m, cm, um, in or ft`,
		"3 5 /8 in":  `"5 /8 in" is not a unit of length; write mm, m, cm, um, in or ft`,
		"3 5/8/2 in": `"/2 in" is not a unit of length; write mm, m, cm, um, in or ft`,
	} {
		_, err := Parse[Metres](text)
		require.EqualError(t, err, strconv.Quote(text)+": "+reason)
	}
}

// Each division of a rule is read to the last bit, and printed as a decimal number.
func TestParse_EveryDivisionOfARule(t *testing.T) {
	for of := 2; of <= finestFraction; of *= 2 {
		for part := 1; part < of; part++ {
			for _, whole := range []int{0, 3, 12} {
				text := strconv.Itoa(whole) + " " + strconv.Itoa(part) + "/" + strconv.Itoa(of) + " in"
				q, err := Parse[Metres](text)
				require.NoError(t, err, text)
				decimal := strconv.FormatFloat(float64(whole)+float64(part)/float64(of), 'f', -1, 64) + " in"
				require.Equal(t, must(Parse[Metres](decimal)), q, text)
				require.Equal(t, decimal, Text(q, "in", -1))
			}
		}
	}
}

func TestParseRange_InEitherHabit(t *testing.T) {
	want := Range[Metres]{Low: must(Parse[Metres]("3.5 in")), High: must(Parse[Metres]("3.625 in")), HasLow: true, HasHigh: true}
	for _, text := range []string{"3.5..3.625 in", "3,5..3,6250 in", "3 1/2..3 5/8 in", "3-1/2 .. 3-5/8in", "3,5..3 5/8 in"} {
		r, err := ParseRange[Metres](text)
		require.NoError(t, err, text)
		assert.Equal(t, want, r, text)
	}
	for text, reason := range map[string]string{
		"3.5..3,6 in":    mixedSigns,
		"3,5..3.6 in":    mixedSigns,
		"1..1,234 in":    "1,234 may be 1.234 or 1234; write the one that is meant",
		"1..2,345.6 in":  "2,345.6: digits are not grouped here; write the number with one decimal point and nothing else between its digits",
		"1/2..3 5/7 in":  "3 5/7: a rule is divided into halves, 4ths, 8ths, 16ths, 32nds or 64ths; write one of these, or a decimal number",
		"3 1/2..3 5/8 m": "3 1/2: a fraction is read of inches alone; write it in in, or as a decimal number",
	} {
		_, err := ParseRange[Metres](text)
		require.EqualError(t, err, strconv.Quote(text)+": "+reason)
	}
}

func TestNumber(t *testing.T) {
	for text, want := range map[string]float64{"5": 5, " 5.25 ": 5.25, "5,25": 5.25, "-,5": -0.5, "1e3": 1000, "1.234": 1.234} {
		v, err := Number(text)
		require.NoError(t, err, text)
		assert.Equal(t, want, v, text)
	}
	for _, text := range []string{"", "x", "5 V", "5,", "1,234", "1,2,3", "5/8", "NaN", "0x1"} {
		v, err := Number(text)
		require.Error(t, err, text)
		assert.Zero(t, v)
	}
}

func TestPointed(t *testing.T) {
	for text, want := range map[string]string{
		"92,5 mm": "92.5 mm", "16,5..19,0 V": "16.5..19.0 V", "..250,5 degC": "..250.5 degC", "0,5": "0.5", "92.5 mm": "92.5 mm",
		"helix": "helix", "1.234 mm": "1.234 mm", "3 5/8 in": "3 5/8 in", "": "", "mm, V": "mm, V", "1.234,5 mm now": "",
	} {
		got, err := Pointed(text)
		if want == "" && text != "" {
			require.Error(t, err, text)
			want = text
		} else {
			require.NoError(t, err, text)
		}
		assert.Equal(t, want, got)
	}
	_, err := Pointed("1,234 mm")
	require.EqualError(t, err, `"1,234 mm": 1,234 may be 1.234 or 1234; write the one that is meant`)
}

func TestAlike(t *testing.T) {
	require.NoError(t, Alike("10,1 V", "20.2 V", "1.2345 V", "0.123 V"), "each can be one thing alone")
	require.NoError(t, Alike("1.234 V", "20.2 V"))
	require.NoError(t, Alike())
	require.EqualError(t, Alike("10,1 V", "5 V, 1.234 V"),
		`"5 V, 1.234 V": beside numbers with a decimal comma it may be 1.234 or 1234; write all numbers in one way`)
}

// FuzzNumber: whatever is typed is one thing, in both habits the same, or refused.
func FuzzNumber(f *testing.F) {
	for _, seed := range []string{"10,1", "1,234", "1.234", "1.234,5", "1,234.5", ",5", "5,", "1e3", "3 5/8", "3-5/8", "12..15", "-", "1,2,3", "0,123"} {
		f.Add(seed)
	}
	f.Fuzz(func(t *testing.T, text string) {
		number, rest := cutNumber(text)
		require.Equal(t, text, number+rest)
		if number == "" {
			return
		}
		again, behind := cutNumber(number)
		require.Equal(t, number, again+behind)
		value, why := valueOf(number)
		if why != "" {
			require.Zero(t, value)
			return
		}
		if isFraction(number) {
			return
		}
		pointed := strings.Replace(number, ",", ".", 1)
		plain, err := strconv.ParseFloat(pointed, 64)
		require.NoError(t, err)
		require.Equal(t, plain, value)
		if strings.Contains(number, ",") {
			require.False(t, mayPartThousands(number, ','))
		}
	})
}

func TestMayBeThousands(t *testing.T) {
	for text, want := range map[string]Metres{"1.234 mm": 1.234, " 90.020mm": 90.02, "-1.500 m": -1500, "12.125 in": must(Parse[Metres]("12125 in"))} {
		q, may := MayBeThousands[Metres](text)
		assert.True(t, may, text)
		assert.Equal(t, want, q, text)
	}
	for _, text := range []string{"0.125 mm", "1.23 mm", "1234.567 mm", "1.2345 mm", "12 mm", "mm", "1,5 mm", "1.234"} {
		_, may := MayBeThousands[Metres](text)
		assert.False(t, may, text)
	}
}

// The pages have a reader of their own, to draw by: both are held against one table.
func TestParse_AsThePagesDo(t *testing.T) {
	table, err := os.ReadFile("../../testdata/typed/numbers.tsv")
	require.NoError(t, err)
	rows := strings.Split(strings.TrimSpace(string(table)), "\n")[2:]
	require.Greater(t, len(rows), 30)
	for _, row := range rows {
		typed, want, found := strings.Cut(row, "\t")
		require.True(t, found, row)
		q, err := Parse[Metres](typed + " in")
		if want == "-" {
			require.Error(t, err, typed)
			continue
		}
		require.NoError(t, err, typed)
		assert.Equal(t, must(Parse[Metres](want+" in")), q, typed)
	}
}
