package sheet_test

import (
	"encoding/json"
	"io"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"arctally/analyze/procedure"
	"arctally/report/sheet"
	"arctally/report/sheet/sheettest"
)

func TestMapJSON(t *testing.T) {
	var o sheet.MapObject
	require.NoError(t, json.Unmarshal([]byte(sheettest.Render(t, func(w io.Writer) error { return sheettest.Mapped(nil).MapJSON(w, 0) })), &o))
	require.Len(t, o.Cells, o.Columns*o.Rows)
	cell := o.Cells[2*o.Columns+10]
	assert.InDelta(t, 50, cell.Angle, 1e-12)
	assert.InDelta(t, 6, cell.Depth, 1e-12)
	assert.InDelta(t, 0.35, *cell.ArcEnergy, 1e-12)
	assert.InDelta(t, 0.28, *cell.HeatInput, 1e-12)
	assert.InDelta(t, 27, *cell.Volume, 1e-9)
	assert.InDelta(t, *cell.Height-1, *cell.Stock, 1e-9)
	assert.Equal(t, "too little", *o.CleanUp.Answer)
	require.Len(t, o.CleanUp.Short, 1)
	assert.InDelta(t, 250, o.CleanUp.Short[0].FromAngle, 1e-12)
	assert.InDelta(t, 265, o.CleanUp.Short[0].ToAngle, 1e-12)
	require.Len(t, o.CleanUp.Unseen, 1)
	assert.InDelta(t, 1, *o.Beyond.Volume, 1e-9)
}

func TestMapJSON_NoMap(t *testing.T) {
	require.ErrorIs(t, sheet.New(sheet.Input{Job: &procedure.Job{}}).MapJSON(io.Discard, 0), sheet.ErrNoMap)
}
