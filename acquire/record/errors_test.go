package record

import (
	"errors"
	"io/fs"
	"syscall"
	"testing"

	"github.com/stretchr/testify/require"
)

func TestError_SaysWhatIsKnown(t *testing.T) {
	cause := errors.New("the cause")
	for want, e := range map[string]*Error{
		"record p: damaged":                                              {Kind: Damaged, Path: "p"},
		"record p: damaged, commit 3":                                    {Kind: Damaged, Path: "p", Commit: 3},
		"record p: damaged, row 3000001":                                 {Kind: Damaged, Path: "p", Row: 3_000_001},
		"record p: altered: detail":                                      {Kind: Altered, Path: "p", Detail: "detail"},
		"record p: failed: the cause":                                    {Kind: Failed, Path: "p", Err: cause},
		"record p: damaged, commit 3, row 3000001: chunks: the cause":    {Kind: Damaged, Path: "p", Commit: 3, Row: 3_000_001, Detail: "chunks", Err: cause},
		"record p: cut short: 5 bytes of 9":                              {Kind: Truncated, Path: "p", Detail: "5 bytes of 9"},
		"record p: newer than this program: format version 3, 2 is read": {Kind: Newer, Path: "p", Detail: "format version 3, 2 is read"},
	} {
		require.Equal(t, want, e.Error())
	}
	require.ErrorIs(t, &Error{Kind: Failed, Path: "p", Err: cause}, cause)
}

func TestAlso_KeepsBoth(t *testing.T) {
	first, second := errors.New("first"), errors.New("second")
	require.NoError(t, also(nil, nil))
	require.Equal(t, first, also(first, nil))
	require.Equal(t, second, also(nil, second))
	require.ErrorIs(t, also(first, second), first)
	require.ErrorIs(t, also(first, second), second)
}

func TestWrap_GivesACauseItsKind(t *testing.T) {
	require.NoError(t, wrap("p", "open", nil))
	own := &Error{Kind: Busy, Path: "q"}
	require.Equal(t, error(own), wrap("p", "open", own), "one that has a kind keeps it")
	for cause, want := range map[error]Kind{
		fs.ErrExist: Exists, fs.ErrNotExist: Missing, fs.ErrPermission: ReadOnly, syscall.EROFS: ReadOnly, syscall.ENOSPC: Failed,
	} {
		var e *Error
		require.ErrorAs(t, wrap("p", "open", cause), &e)
		require.Equal(t, want, e.Kind, "%v", cause)
		require.Equal(t, [2]string{"p", "open"}, [2]string{e.Path, e.Detail})
		require.ErrorIs(t, e, cause)
	}
	require.NoError(t, single("p", nil))
	require.Equal(t, error(own), single("p", errors.Join(errors.New("other"), own)))
}

// Each kind has its words, and what to do about it.
func TestKind_HasWordsAndAHint(t *testing.T) {
	seen := map[string]bool{}
	for k := Failed; k <= Incomplete; k++ {
		require.NotEmpty(t, k.String())
		require.False(t, seen[k.String()], "%s twice", k)
		seen[k.String()] = true
		require.Equal(t, k != Closed, (&Error{Kind: k}).Hint() != "", "%s", k)
	}
}
