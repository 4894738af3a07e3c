package workshop

import (
	"bytes"
	"image"
	"image/png"
	"testing"

	"github.com/stretchr/testify/require"

	"arctally/report/page"
)

// What people put on record after welding asks for no new judgement, and it is there at once,
// however little patience there is; a note of what was true while it was welded asks for one.
func TestPeople_AskForNoNewJudgement(t *testing.T) {
	w := laidShop(t)
	file, err := w.folder.recordPath("job")
	require.NoError(t, err)
	judgedNow := func() *judgement {
		j, err := w.reviews.judgement("job", file, w.folder.stampOfRecord("job"), false, false)
		require.NoError(t, err)
		return j
	}
	first := judgedNow()
	number := first.review.Result.Findings[0].Number
	var encoded bytes.Buffer
	require.NoError(t, png.Encode(&encoded, image.NewGray(image.Rect(0, 0, 40, 30))))
	for name, add := range map[string]func() error{
		"a decision": func() error {
			_, err := w.Enter(t.Context(), "job", page.EntryRequest{By: "Inspector 1", Finding: number, Method: "visual", Result: "no indication", Decision: "accept"})
			return err
		},
		"a photograph": func() error {
			_, err := w.AddPhotograph(t.Context(), "job", "image/png", encoded.Bytes())
			return err
		},
	} {
		before := w.folder.stampOfRecord("job")
		require.NoError(t, add(), name)
		require.NotEqual(t, before, w.folder.stampOfRecord("job"), name)
		require.Same(t, first, judgedNow(), name)
		for range 20 {
			r, _, err := w.reviews.of(t.Context(), "job", file, w.folder.stampOfRecord("job"), false, 0)
			require.NoError(t, err, name)
			require.NotNil(t, r, name)
		}
	}
	_, err = w.Note(t.Context(), "job", page.NoteRequest{By: "Operator 1", Kind: page.NoteText, Value: "cleaned"})
	require.NoError(t, err)
	require.NotSame(t, first, judgedNow())
}
