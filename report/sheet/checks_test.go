package sheet_test

import (
	"bytes"
	"testing"

	"github.com/stretchr/testify/require"

	"arctally/report/sheet"
)

func TestChecksJSON(t *testing.T) {
	var list bytes.Buffer
	require.NoError(t, sheet.ChecksJSON(&list, sheet.CheckList{Record: "r"}))
	require.JSONEq(t, `{"record": "r", "job": "", "checks": []}`, list.String())
}
