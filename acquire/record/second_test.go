package record

import (
	"bytes"
	"crypto/sha256"
	"encoding/binary"
	"encoding/hex"
	"encoding/json"
	"fmt"
	"hash"
	"math"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"arctally/acquire/series"
)

// contents are what a record comes to, whoever reads it: the fields that the
// second program prints.
type contents struct {
	Version    int64             `json:"version"`
	Digests    int64             `json:"digests"` // made anew by the second program
	Groups     int64             `json:"groups"`
	Boxes      map[string]int    `json:"boxes"` // whose each epoch with samples is
	Seals      []string          `json:"seals"`
	Head       string            `json:"head"`
	Samples    map[string]int64  `json:"samples"`
	SHA256     map[string]string `json:"sha256"` // of all samples of a kind, with their ticks, breaks and flags
	SumOfCodes map[string]int64  `json:"sum_of_codes"`
}

// contentsOf reads a record with the package's own reader.
func contentsOf(t *testing.T, path string) contents {
	t.Helper()
	r, err := Open(path)
	require.NoError(t, err)
	c := contents{Boxes: map[string]int{}, Samples: map[string]int64{}, SHA256: map[string]string{}, SumOfCodes: map[string]int64{}}
	c.Version, err = r.version()
	require.NoError(t, err)
	c.Head, err = r.Fingerprint()
	require.NoError(t, err)
	if c.Version >= digestVersion {
		require.NoError(t, r.each("SELECT count(*) FROM digests", nil, func(scan func(...any) error) error { return scan(&c.Digests) }))
	}
	found, err := r.VerifySeals()
	require.NoError(t, err)
	c.Seals = []string{}
	for _, s := range found.Seals {
		whose := "machine"
		if s.Person {
			whose = "person"
		}
		c.Seals = append(c.Seals, fmt.Sprintf("%s %d %s %s", s.Mark, s.Group, whose, s.By))
	}
	hashes := map[series.Kind]hash.Hash{}
	for kind := range kindNames {
		hashes[kind] = sha256.New()
	}
	for g, err := range r.Groups() {
		require.NoError(t, err)
		c.Groups = g.Number
		for k := range g.Blocks {
			b := &g.Blocks[k]
			c.Samples[kindNames[b.Kind]] += int64(b.Len())
			c.Boxes[strconv.Itoa(b.Epoch)] = b.Box
			for k := range b.Len() {
				hashes[b.Kind].Write(canonical(b, k))
			}
			for k := range b.V {
				c.SumOfCodes["voltage"] += int64(b.V[k])
				c.SumOfCodes["current"] += int64(b.I[k])
			}
		}
	}
	require.NoError(t, r.Close())
	for kind, name := range kindNames {
		c.Samples[name] += 0 // a kind without samples is named too
		c.SHA256[name] = hex.EncodeToString(hashes[kind].Sum(nil))
	}
	c.SumOfCodes["voltage"] += 0
	c.SumOfCodes["current"] += 0
	return c
}

// canonical writes a sample as the second program does.
func canonical(b *series.Block, k int) []byte {
	var w bytes.Buffer
	put := func(values ...any) {
		for _, v := range values {
			_ = binary.Write(&w, binary.LittleEndian, v) // a buffer takes everything
		}
	}
	put(int64(b.Epoch), b.At(k), b.Break && k == 0)
	switch b.Kind {
	case series.Arc:
		flag := int8(-1)
		if b.Flag != nil {
			flag = int8(count(b.Flag[k]))
		}
		put(b.V[k], b.I[k], flag)
	case series.Sums:
		put(b.Sum)
	case series.Slow:
		put(b.Channel[k], math.Float64bits(b.Value[k]))
	case series.Turn:
		put(b.Count[k])
	}
	return w.Bytes()
}

// secondProgram runs a program that shares no code with us.
func secondProgram(t *testing.T, records ...string) ([]byte, error) {
	t.Helper()
	for _, name := range []string{"python3", "zstd"} {
		if _, err := exec.LookPath(name); err != nil {
			if os.Getenv("CI") != "" {
				t.Fatalf("the second program needs %s", name)
			}
			t.Skipf("the second program needs %s, which is not here: nobody else reads the records", name)
		}
	}
	command := exec.CommandContext(t.Context(), "python3", append([]string{filepath.Join("secondreader", "read.py")}, records...)...)
	var complaints bytes.Buffer
	command.Stderr = &complaints
	printed, err := command.Output()
	if err != nil {
		return nil, fmt.Errorf("%w: %s", err, complaints.String())
	}
	return printed, nil
}

// The second program was written from FORMAT.md alone. It recomputes every hash of
// the chain and every sample; both must come to the same.
func TestSecondProgram_ReadsTheSame(t *testing.T) {
	if testing.Short() {
		t.Skip("starts another program")
	}
	paths := []string{peopledRecord(t), everyRecord(t), sealedRecord(t), beforeZero(t), severalBoxes(t, 1)}
	for name := range frozenHeads {
		paths = append(paths, frozen(t, name))
	}
	for seed := range uint64(4) {
		path := filepath.Join(t.TempDir(), "job.arc")
		writeRandomly(t, path, seed)
		paths = append(paths, path)
	}
	printed, err := secondProgram(t, paths...)
	require.NoError(t, err)
	var read map[string]contents
	require.NoError(t, json.Unmarshal(printed, &read))
	for _, path := range paths {
		require.Equal(t, contentsOf(t, path), read[path], path)
	}
}

// The second program refuses what Verify refuses.
func TestSecondProgram_SeesAChange(t *testing.T) {
	if testing.Short() {
		t.Skip("starts another program")
	}
	path := smallRecord(t)
	alter(t, path, "UPDATE events SET until = until + 1 WHERE commit_number = 6")
	_, err := secondProgram(t, path)
	require.ErrorContains(t, err, "commit 6 is not as it was written")
}

// writeRandomly writes blocks of every kind, events and sources, and returns them.
func writeRandomly(t *testing.T, path string, seed uint64) (written map[series.Kind][]sample, events []series.Event, sources []series.Source) {
	t.Helper()
	r := rand.New(rand.NewPCG(seed, 7))
	beat := make(chan time.Time)
	w, err := create(path, Meta{Job: "job"}, options{now: time.Now, limit: 5000, beat: beat})
	require.NoError(t, err)
	written = map[series.Kind][]sample{}
	epoch, tick := 0, r.Int64N(1e15)-5e14
	for k := range 400 {
		switch r.IntN(12) {
		case 0:
			e := series.Event{Kind: series.Gap, Epoch: epoch, Tick: tick, Until: tick + 5, Count: int64(k), Text: "a \x00 gap ' ü \xff"}
			require.NoError(t, w.Event(e))
			events = append(events, e)
		case 1:
			if r.IntN(4) == 0 {
				s := box()
				s.Channels[0].Scale = r.Float64()
				require.NoError(t, w.Source(s))
				require.NoError(t, w.Source(s), "said again")
				sources = append(sources, s)
			}
		case 2:
			if r.IntN(4) == 0 {
				epoch++
			}
		case 3:
			beat <- time.Now()
		default:
			b := randomBlock(r, series.Kind(1+r.IntN(4)), epoch, tick)
			require.NoError(t, w.Block(&b))
			written[b.Kind] = flatten(written[b.Kind], &b)
			tick = b.At(b.Len()-1) + []int64{b.Step, b.Step, 50_000}[r.IntN(3)]
		}
	}
	require.NoError(t, w.Close())
	return written, events, sources
}
