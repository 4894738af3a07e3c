package export

import (
	"bytes"
	"encoding/csv"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"arctally/acquire/series"
	"arctally/analyze/inspect"
	"arctally/report/sheet"
	"arctally/report/sheet/sheettest"
)

func TestPlainCell(t *testing.T) {
	for text, want := range map[string]string{
		"":                   "",
		"wire_speed":         "wire_speed",
		"=1+1":               "'=1+1",
		"+1":                 "'+1",
		"-1 V":               "'-1 V",
		"@SUM(1)":            "'@SUM(1)",
		"\t=1":               `\t=1`,
		"\r=1":               `\u000d=1`,
		"\uff1d1":            "'\uff1d1",
		"a=1":                "a=1",
		"two\nlines \x1b[2J": `two\nlines \u001b[2J`,
	} {
		assert.Equal(t, want, plainCell(text))
	}
}

// A text of people is defused in the tables and the samples; a number keeps its sign.
func TestCSV_Formulas(t *testing.T) {
	in := sheettest.Input()
	about := &in.Result.Findings[0]
	in.Entries = append(in.Entries, inspect.Entry{Number: 1, By: "=cmd|' /C calc'!A0", Disposition: &inspect.Disposition{
		Of: inspect.Refer(about), Method: inspect.Visual, Result: inspect.NoIndication, Decision: inspect.Accept, Remark: "@now()",
	}})
	var b bytes.Buffer
	require.NoError(t, TableCSV(&b, Findings, sheet.New(in)))
	rows, err := csv.NewReader(&b).ReadAll()
	require.NoError(t, err)
	assert.Contains(t, rows[1], "'=cmd|' /C calc'!A0")
	assert.Contains(t, rows[1], "'@now()")

	b.Reset()
	source := &series.Source{Channels: []series.Channel{{Name: "voltage"}, {Name: "current"}, {Name: "=a,b", Unit: "-V", Scale: 1}}}
	require.NoError(t, SlowCSV(&b, Samples{Parts: func(yield func(Part, error) bool) {
		yield(Part{Source: source, Block: &series.Block{Kind: series.Slow, Channel: []uint8{2}, Value: []float64{-1.5}}}, nil)
	}}))
	rows, err = csv.NewReader(&b).ReadAll()
	require.NoError(t, err)
	assert.Equal(t, []string{"'=a,b", "-1.5", "'-V"}, rows[1][4:])
}
