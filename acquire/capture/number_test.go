package capture

import (
	"math"
	"math/big"
	"strconv"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestParseNumber(t *testing.T) {
	for _, c := range []struct {
		text     string
		mantissa int64
		decimals int
		ok       bool
	}{
		{"18.5", 185, 1, true},
		{"-0.50", -50, 2, true},
		{"+7", 7, 0, true},
		{".5", 5, 1, true},
		{"5.", 5, 0, true},
		{"1.85e1", 185, 1, true},
		{"1.85E+02", 185, 0, true},
		{"185e-1", 185, 1, true},
		{"2e3", 2000, 0, true},
		{"1700000000.123456789", 1700000000123456789, 9, true},
		{"18.4999999999999992894572642399", 1849999999999999928, 17, true},
		{"9223372036854775807", math.MaxInt64, 0, true},
		{"9223372036854775808", 0, 0, false},
		{"12345678901234567890123", 0, 0, false},
		{"", 0, 0, false},
		{".", 0, 0, false},
		{"-", 0, 0, false},
		{"1.2.3", 0, 0, false},
		{"1,5", 0, 0, false},
		{"1e", 0, 0, false},
		{"1e999", 0, 0, false},
		{"NaN", 0, 0, false},
		{"Inf", 0, 0, false},
		{"0x10", 0, 0, false},
		{"12 5", 0, 0, false},
	} {
		n, ok := parseNumber([]byte(c.text), '.')
		assert.Equal(t, c.ok, ok, c.text)
		if ok {
			assert.Equal(t, number{c.mantissa, c.decimals}, n, c.text)
		}
	}
	n, ok := parseNumber([]byte("18,5"), ',')
	assert.True(t, ok)
	assert.Equal(t, number{185, 1}, n)
}

func TestNanoseconds(t *testing.T) {
	for _, c := range []struct {
		text, factor string
		want         int64
		ok           bool
	}{
		{"1700000000.123456789", "1", 1700000000123456789, true},
		{"-0.000000001", "1", -1, true},
		{"1700000000123", "0.001", 1700000000123000000, true},
		{"1700000000123456789", "0.000000001", 1700000000123456789, true},
		{"3", "0.3333333333", 1000000000, true}, // 999999999.9 ns
		{"1", "60", 60e9, true},
		{"0.0000000005", "1", 1, true}, // half a nanosecond away from zero
		{"9300000000", "1", 0, false},
		{"9000000000", "9000000000", 0, false},
	} {
		n, ok := parseNumber([]byte(c.text), '.')
		require.True(t, ok)
		f, ok := parseNumber([]byte(c.factor), '.')
		require.True(t, ok)
		got, ok := n.nanoseconds(f)
		assert.Equal(t, c.ok, ok, c.text)
		assert.Equal(t, c.want, got, c.text)
	}
}

// FuzzNumber compares with exact rational arithmetic.
func FuzzNumber(f *testing.F) {
	for _, s := range []string{"1700000000.123456789", "-18.5e-3", "+.5", "0.1e2", "1e18"} {
		f.Add(s, "0.001")
	}
	f.Fuzz(func(t *testing.T, text, factor string) {
		n, ok := parseNumber([]byte(text), '.')
		if !ok {
			return
		}
		want, err := strconv.ParseFloat(text, 64)
		require.NoError(t, err, "what is taken for a number must be one")
		require.InDelta(t, want, n.value(), 1e-9*math.Abs(want)+1e-17)
		k, ok := parseNumber([]byte(factor), '.')
		if !ok {
			return
		}
		ns, ok := n.nanoseconds(k)
		exact := new(big.Rat).Mul(rational(n), rational(k))
		exact.Mul(exact, big.NewRat(1e9, 1))
		if !ok {
			require.Positive(t, exact.Abs(exact).Cmp(big.NewRat(math.MaxInt64-1, 1)))
			return
		}
		off := exact.Sub(exact, big.NewRat(ns, 1))
		require.LessOrEqual(t, off.Abs(off).Cmp(big.NewRat(1, 2)), 0, "rounded to the nearest")
	})
}

func rational(n number) *big.Rat { return big.NewRat(n.mantissa, powers[n.decimals]) }

func TestRoundDiv(t *testing.T) {
	for _, c := range [][3]int64{{15, 10, 2}, {14, 10, 1}, {-15, 10, -2}, {-14, 10, -1}, {7, 1, 7}, {0, 10, 0}} {
		assert.Equal(t, c[2], roundDiv(c[0], c[1]), c)
	}
}
