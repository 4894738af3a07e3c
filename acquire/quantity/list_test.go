package quantity

import (
	"math/rand/v2"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestParseList(t *testing.T) {
	for text, want := range map[string][]string{
		"10.1V,20.3V,30.2V":          {"10.1V", "20.3V", "30.2V"},
		"10.1 V, 20.3 V, 30.2 V":     {"10.1 V", "20.3 V", "30.2 V"},
		"10.1, 20.3, 30.2 V":         {"10.1 V", "20.3 V", "30.2 V"},
		"10,1 20,2 30,3 V":           {"10,1 V", "20,2 V", "30,3 V"},
		"10,1 V 20,2 V 30,3 V":       {"10,1 V", "20,2 V", "30,3 V"},
		"10,1; 20,2;30,3 V":          {"10,1 V", "20,2 V", "30,3 V"},
		"10,1 V, 20,2V,30,3 V":       {"10,1 V", "20,2V", "30,3 V"},
		"10,1 V;":                    {"10,1 V"},
		"10.1 V":                     {"10.1 V"},
		"10 V , 20 mV":               {"10 V", "20 mV"},
		"-1 -2\t+3 V":                {"-1 V", "-2 V", "+3 V"},
		" 16.5 V ; 1e1 V; .5 V ; 5V": {"16.5 V", "1e1 V", ".5 V", "5V"},
	} {
		written, err := ParseList[Volts](text)
		require.NoError(t, err, text)
		require.Len(t, written, len(want), text)
		for k, w := range written {
			assert.Equal(t, want[k], w.Text, text)
			assert.Equal(t, must(Parse[Volts](want[k])), w.Value, text)
		}
	}
	inches, err := ParseList[Metres]("3 5/8 in; 3-3/4 in; 5/8 in")
	require.NoError(t, err)
	assert.Len(t, inches, 3)
	inches, err = ParseList[Metres]("3, 5 5/8 in")
	require.NoError(t, err)
	assert.Equal(t, must(Parse[Metres]("5.625 in")), inches[1].Value)
	inches, err = ParseList[Metres]("3-5/8 3-3/4 in")
	require.NoError(t, err)
	assert.Equal(t, must(Parse[Metres]("3.75 in")), inches[1].Value)
	plain, err := ParseList[Ratio]("5 10")
	require.NoError(t, err)
	assert.Equal(t, []Written[Ratio]{{5, "5"}, {10, "10"}}, plain)
}

func TestParseList_Refused(t *testing.T) {
	const between = "nothing stands between two of the signs that part the list"
	for text, reason := range map[string]string{
		"10,1 V":              oneOrTwo,
		"5,10":                oneOrTwo,
		"10.1,20.2 V":         oneOrTwo,
		"3 5/8 in":            oneOrTwo,
		"3 5/8 4 in":          oneOrTwo,
		"10, 1 20, 2 30, 3 V": signsForParts,
		"10.1 20.2, 30.3 V":   signsForParts,
		"10,1, 20,2 V":        commaForBoth,
		"1,2, 3,4 V":          commaForBoth,
		"10,1 20.2 V":         mixedSigns,
		"10.1; 20,2 V":        mixedSigns,
		"10.1 V;; 20.2 V":     between,
		"10.1 V, , 20.2 V":    between,
		", 20.2 V":            between,
		";":                   between,
		"10;":                 "no unit; write V, mV or kV",
		"10 V 20 30 mV":       "no unit; write V, mV or kV",
		"1,234 2,345 V":       "1,234 may be 1.234 or 1234; write the one that is meant",
		"1,234.5; 2,345.6 V":  "1,234.5: digits are not grouped here; write the number with one decimal point and nothing else between its digits",
		"10 V; 20, 30 V":      `", 30 V" is not a unit of voltage; write V, mV or kV`,
		"":                    between,
		"10.1 V; 20 3 V":      `"3 V" is not a unit of voltage; write V, mV or kV`,
		"10.1 V; twenty; 5 V": "no number; write a number and its unit, V, mV or kV",
		"10.1 A; 20 A":        "A is a unit of current, not of voltage; write V, mV or kV",
		"10V,20V,1,2,3,4 V":   "1,2,3,4: digits are not grouped here; write the number with one decimal point and nothing else between its digits",
	} {
		_, err := ParseList[Volts](text)
		require.ErrorContains(t, err, reason, text)
		var e *Error
		require.ErrorAs(t, err, &e)
	}
}

// A habit is how a person writes a list: the decimal sign, and what parts the items.
type habit struct{ decimal, parts string }

// TestParseList_EitherHabit: a list that anybody prints, in any habit and with any
// digits, comes back the same or is refused, and never as another list. Alone, a point
// is the decimal point: where thousands are parted by it and no comma stands in the
// list, it is the band of what is usual that tells.
func TestParseList_EitherHabit(t *testing.T) {
	random := rand.New(rand.NewPCG(11, 1))
	read, all := map[habit]int{}, map[habit]int{}
	for range 40_000 {
		h := habit{[]string{".", ","}[random.IntN(2)], []string{" ", "  ", "; ", ";", ", ", ",", " , ", "\t"}[random.IntN(8)]}
		numbers := make([]float64, 1+random.IntN(5))
		texts := make([]string, len(numbers))
		fixed, grouped := random.IntN(2) == 0, random.IntN(8) == 0
		decimals := random.IntN(5)
		for k := range numbers {
			if !fixed {
				decimals = random.IntN(5)
			}
			texts[k] = strconv.FormatFloat(random.Float64()*[]float64{1, 10, 100, 1000, 10_000}[random.IntN(5)], 'f', decimals, 64)
			numbers[k], _ = strconv.ParseFloat(texts[k], 64)
			texts[k] = written(texts[k], h, grouped)
		}
		unit := []string{"", " V", "V"}[random.IntN(3)]
		text := strings.Join(texts, unit+h.parts) + unit
		if unit == "" {
			text += " V"
		}
		if grouped && h.decimal == "," && !strings.Contains(strings.Join(texts, ""), ",") {
			continue
		}
		all[h]++
		list, err := ParseList[Volts](text)
		if err != nil {
			continue
		}
		read[h]++
		got := make([]float64, len(list))
		for k := range list {
			got[k] = float64(list[k].Value)
		}
		require.Equal(t, numbers, got, text)
	}
	for h, n := range all { // the usual ways are read, but for what may be two things
		if h.parts != "," && (h.decimal == "." || h.parts != ", " && h.parts != " , ") {
			assert.Greater(t, read[h], n/3, "%q", h)
		}
	}
}

// written is a number in a habit, its thousands grouped or not.
func written(number string, h habit, grouped bool) string {
	whole, fraction, broken := strings.Cut(number, ".")
	if grouped && len(whole) > 3 {
		sign := "."
		if h.decimal == "." {
			sign = ","
		}
		whole = whole[:len(whole)-3] + sign + whole[len(whole)-3:]
	}
	if broken {
		return whole + h.decimal + fraction
	}
	return whole
}

// FuzzParseList: a list is refused with words, or each of its items is read alike by itself.
func FuzzParseList(f *testing.F) {
	for _, seed := range []string{"10,1 20,2 30,3 V", "10.1V,20.3V", "10, 1 20, 2 V", "3 5/8 in; 3-3/4 in", "1,234 2 V", ";", "10,1;", "5 1/s 6 1/s"} {
		f.Add(seed)
	}
	f.Fuzz(func(t *testing.T, text string) {
		list, err := ParseList[Metres](text)
		if err != nil {
			var e *Error
			require.ErrorAs(t, err, &e)
			return
		}
		for _, item := range list {
			q, err := Parse[Metres](item.Text)
			require.NoError(t, err)
			require.Equal(t, q, item.Value)
		}
	})
}
