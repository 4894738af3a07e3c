package chart

import (
	"os"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// row is one check value: numbers in, numbers out.
type row struct {
	id, chart string
	in, want  []float64
	by        map[string]float64
	tolerance float64
}

func rows(t *testing.T) map[string]row {
	t.Helper()
	text, err := os.ReadFile("../../../testdata/standards/charts.tsv")
	require.NoError(t, err)
	all := map[string]row{}
	for _, line := range strings.Split(strings.TrimSpace(string(text)), "\n")[1:] {
		f := strings.Split(line, "\t")
		require.Len(t, f, 8, line)
		r := row{id: f[0], chart: f[1], in: numbers(t, f[3]), want: numbers(t, f[4]), by: map[string]float64{}}
		for _, setting := range strings.Fields(f[2]) {
			name, value, _ := strings.Cut(setting, "=")
			r.by[name] = numbers(t, value)[0]
		}
		r.tolerance = numbers(t, f[5])[0]
		all[r.id] = r
	}
	return all
}

func numbers(t *testing.T, text string) (all []float64) {
	t.Helper()
	for _, word := range strings.Fields(text) {
		v, err := strconv.ParseFloat(word, 64)
		require.NoError(t, err)
		all = append(all, v)
	}
	return all
}

func (r row) near(t *testing.T, got ...float64) {
	t.Helper()
	require.Len(t, got, len(r.want), r.id)
	for k := range got {
		require.InDelta(t, r.want[k], got[k], r.tolerance, "%s, value %d", r.id, k+1)
	}
}

func TestStandards(t *testing.T) {
	all := rows(t)
	require.Len(t, all, 8)
	for id, r := range all {
		t.Run(id, func(t *testing.T) {
			switch r.chart {
			case "ewma", "ewma settled", "ewma limits":
				r.ewma(t)
			case "cusum high", "cusum low":
				r.cusum(t)
			case "cusum signal":
				r.signal(t)
			case "individuals":
				c := individuals(r.in)
				low, high := c.Limits()
				got := []float64{c.Moments().Mean(), c.MeanRange(), high, low, c.RangeLimit()}
				r.near(t, got[:len(r.want)]...)
			default:
				t.Fatalf("no chart is called %q", r.chart)
			}
		})
	}
}

func (r row) ewma(t *testing.T) {
	c := EWMA{Lambda: r.by["lambda"], Start: r.by["start"], Sigma: r.by["s"], Width: r.by["L"]}
	var averages, upper []float64
	for _, x := range r.in {
		c.Add(x)
		low, high := c.Limits()
		averages, upper = append(averages, c.Average()), append(upper, high)
		require.True(t, c.Average() > low && c.Average() < high, "no signal is due")
	}
	switch r.chart {
	case "ewma":
		r.near(t, averages...)
	case "ewma limits":
		r.near(t, upper[:len(r.want)]...)
	default:
		r.near(t, c.Start+c.Settled(), c.Start-c.Settled())
	}
}

func (r row) cusum(t *testing.T) {
	c := CUSUM{Target: r.by["mu0"], Slack: r.by["K"], Decision: r.by["H"]}
	var high, low []float64
	for _, x := range r.in {
		require.False(t, c.Add(x), "no signal is due")
		high, low = append(high, c.High), append(low, c.Low)
	}
	if r.chart == "cusum high" {
		r.near(t, high...)
	} else {
		r.near(t, low...)
	}
}

func (r row) signal(t *testing.T) {
	c := CUSUM{Target: r.by["mu0"], Slack: r.by["k"], Decision: r.by["h"]}
	var sums []float64
	first := 0
	for k, x := range r.in {
		if c.Add(x) && first == 0 {
			first = k + 1
			require.Equal(t, 2, c.HighRun, "the change is dated to the value before the last")
		}
		if k >= 12 {
			sums = append(sums, c.High)
		}
	}
	require.Equal(t, int(r.by["first"]), first)
	r.near(t, sums...)
}

func individuals(x []float64) *Individuals {
	c := new(Individuals)
	for _, v := range x {
		c.Add(v)
	}
	return c
}
