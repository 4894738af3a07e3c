package record

import (
	"math/rand/v2"
	"os"
	"testing"

	"github.com/stretchr/testify/require"
)

// bitFlips is how many single bits are changed, each in a record that was whole.
const bitFlips = 10_000

// quiet are the bytes of SQLite's head of the file that change nothing of what is read: they
// count changes, or say what other programs think of the file.
var quiet = map[int]bool{}

func init() {
	for _, span := range [][2]int{
		{18, 19}, // who may write, and read: an older SQLite is not asked
		{24, 27}, // changes of the file
		{40, 43}, // changes of the schema
		{44, 47}, // its form, where SQLite reads each
		{48, 51}, // pages to keep at hand
		{56, 59}, // the encoding of texts, of which SQLite reads the last two bits
		{60, 63}, // the version of the format, whose shape another one may share
		{72, 91}, // for later
		{92, 99}, // when the number of pages was right, and by which SQLite
	} {
		for at := span[0]; at <= span[1]; at++ {
			quiet[at] = true
		}
	}
}

// Whatever bit of a sealed record changes: where it says something, it is told; where verify
// says nothing, it lies where no row is, and all that is read is as it was.
func TestForgeries_RandomBits(t *testing.T) {
	if testing.Short() {
		t.Skip("it changes many bits")
	}
	path := beside(t, "job.arc")
	putFile(t, path, fileOf(t, bitRecord(t)))
	taken := sheetsOf(t, path)
	original := fileOf(t, path)
	want, entries := contentsOf(t, path), entriesOf(t, path)
	r := rand.New(rand.NewPCG(13, 1))
	told, places := 0, map[string]int{}
	for range bitFlips / oneIn(50) {
		bit := r.IntN(8 * len(original))
		flip(t, path, bit, original)
		place, says := taken.place(bit / 8)
		if err := Verify(path); err != nil {
			var e *Error
			require.ErrorAs(t, err, &e, "bit %d", bit)
			told++
		} else {
			require.False(t, says, "bit %d, in %s, and verify says nothing", bit, place)
			require.True(t, bit/8 >= 100 || quiet[bit/8], "bit %d, %s", bit, place)
			require.Equal(t, want, contentsOf(t, path), "bit %d", bit)
			require.Equal(t, entries, entriesOf(t, path), "bit %d", bit)
			places[place]++
		}
		putFile(t, path, original)
	}
	require.Positive(t, told)
	t.Logf("of %d bits told %d; of the others verify says nothing, by where they are: %v", bitFlips/oneIn(50), told, places)
}

// flip changes one bit of a file in its place.
func flip(t *testing.T, path string, bit int, original []byte) {
	t.Helper()
	f, err := os.OpenFile(path, os.O_WRONLY, 0)
	require.NoError(t, err)
	_, err = f.WriteAt([]byte{original[bit/8] ^ 1<<(bit%8)}, int64(bit/8))
	require.NoError(t, err)
	require.NoError(t, f.Close())
}

// bitRecord has every table and few groups, so that ten thousand bits can be tried.
func bitRecord(t *testing.T) string {
	return onceMade(t, &bits, func(t *testing.T, path string) {
		machine, inspector, _ := keysOf(t)
		putFile(t, path, fileOf(t, everyRecord(t)))
		h := newHand()
		w, err := appendTo(path, h.options())
		require.NoError(t, err)
		w.SealWith(machine)
		goOn(t, w, h, 100, 3)
		_, err = w.Entries([]Entry{{Kind: "disposition", At: h.at, By: "Inspector 1", Text: "{}", Key: inspector}})
		require.NoError(t, err)
		_, err = w.Photograph("image/png", picture(30_000, 7)) // which flows over pages
		require.NoError(t, err)
		require.NoError(t, w.Close())
	})
}

var bits madeRecord
