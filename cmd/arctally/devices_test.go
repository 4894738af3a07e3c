package main

import (
	"bytes"
	"fmt"
	"os"
	"path/filepath"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"arctally/acquire/record"
	"arctally/acquire/seal"
	"arctally/cmd/internal/door"
	"arctally/cmd/internal/explain"
	"arctally/cmd/internal/sealing"
	"arctally/report/page"
)

// A tablet is paired, listed, and shut out, in the words of the command.
func TestDevices(t *testing.T) {
	folder := t.TempDir()
	sealing.Use(seal.Folder(folder))
	t.Cleanup(func() { sealing.Use("") })
	devices := func(status int, args ...string) string {
		var printed, complaints bytes.Buffer
		require.Equal(t, status, run(t.Context(), append([]string{"devices"}, args...), &printed, &complaints), complaints.String())
		return printed.String() + complaints.String()
	}
	assert.Contains(t, devices(explain.Done), "no device is paired; arctally serve --listen :8470 shows a code that lets one in")
	d, err := door.New(door.Options{Folder: folder, Now: time.Now, Tell: func(string, ...any) {}})
	require.NoError(t, err)
	for name, role := range map[string]page.Role{"Tablet 1": page.Operate, "Phone": page.Look} {
		offer, err := d.Offer(page.AtTheMachine.With(t.Context()), role)
		require.NoError(t, err)
		_, _, err = d.Pair(page.Visitor{}.With(t.Context()), page.PairRequest{Code: offer.Code, Name: name})
		require.NoError(t, err)
	}
	list := devices(explain.Done)
	assert.Regexp(t, `(?m)^Tablet 1 +operate +until \d{4}-\d\d-\d\d \d\d:\d\d$`, list)
	assert.Regexp(t, `(?m)^Phone +look +until `, list)
	list = devices(explain.Done, "--revoke", "Tablet 1")
	assert.Contains(t, list, `shut out: "Tablet 1"`)
	assert.NotContains(t, list, "operate")
	assert.Contains(t, list, "Phone")
	assert.Contains(t, devices(explain.Failed, "--revoke", "Tablet 1"), "Tablet 1")

	// A list that says one thing twice is no list: nobody comes in by it.
	text, err := os.ReadFile(filepath.Join(folder, "devices.json"))
	require.NoError(t, err)
	twice := bytes.Replace(text, []byte(`"role"`), []byte(`"role": "manage", "role"`), 1)
	require.NotEqual(t, text, twice)
	require.NoError(t, os.WriteFile(filepath.Join(folder, "devices.json"), twice, 0o600))
	assert.Contains(t, devices(explain.Failed), `the key "role" stands twice`)
}

// Where a record was under no seal for a while, it is said until when the seals stand for what was
// written, and from when on only for what was found.
func TestVouchedFor(t *testing.T) {
	at := func(minute int) time.Time { return time.Date(2026, 3, 2, 8, minute, 0, 0, time.UTC) }
	sealed := func(group int64, minute int) record.Sealed {
		return record.Sealed{Statement: seal.Statement{Group: group, At: at(minute), By: "shop"}}
	}
	s := &record.Sealing{Groups: 20, Seals: []record.Sealed{sealed(4, 1), sealed(7, 2), sealed(10, 5), sealed(15, 6), sealed(20, 9)}}
	assert.Empty(t, vouchedFor(s))
	s.Found = []record.Stretch{{First: 8, Last: 9, By: s.Seals[2]}, {First: 16, Last: 18, By: s.Seals[4]}}
	said := vouchedFor(s)
	require.Len(t, said, 2)
	assert.Contains(t, said[0], "the seals vouch for commits 1 to 7 as they were written, until 2026-03-02 08:02")
	assert.Contains(t, said[0], "; for commits 8 to 9 only as they were found on 2026-03-02 08:05")
	assert.Contains(t, said[1], "the seals vouch for commits 10 to 15 as they were written, until 2026-03-02 08:06")
	s.Found = []record.Stretch{{First: 1, Last: 19, By: s.Seals[4]}}
	assert.Contains(t, fmt.Sprint(vouchedFor(&record.Sealing{Seals: s.Seals[4:], Found: s.Found})), "none of what was written before that; for commits 1 to 19 only as they were found")
}
