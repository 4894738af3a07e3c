package analyze

import (
	"maps"
	"math"
	"math/rand/v2"
	"os"
	"reflect"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"arctally/acquire/quantity"
	"arctally/analyze/bore"
	"arctally/analyze/procedure"
	"arctally/analyze/rotation"
	"arctally/analyze/tape"
)

// memory is a tape in memory. What is written on it must not be changed any more.
type memory struct {
	marks   []tape.Mark
	numbers [tape.Columns][]int64
	values  []reflect.Value
}

func (m *memory) Mark(mark tape.Mark)           { m.marks = append(m.marks, mark) }
func (m *memory) Number(c tape.Column, x int64) { m.numbers[c] = append(m.numbers[c], x) }
func (m *memory) Value(of any)                  { m.values = append(m.values, copied(reflect.ValueOf(of).Elem())) }

func copied(v reflect.Value) (own reflect.Value) {
	own = reflect.New(v.Type()).Elem()
	own.Set(v)
	return own
}

// reel reads it from its beginning.
type reel struct{ left memory }

func (r *reel) Mark() tape.Mark {
	if len(r.left.marks) == 0 {
		return tape.End
	}
	m := r.left.marks[0]
	r.left.marks = r.left.marks[1:]
	return m
}

func (r *reel) Number(c tape.Column) int64 {
	if len(r.left.numbers[c]) == 0 {
		tape.Misfit("no number")
	}
	x := r.left.numbers[c][0]
	r.left.numbers[c] = r.left.numbers[c][1:]
	return x
}

func (r *reel) Value(of any) {
	to := reflect.ValueOf(of).Elem()
	if len(r.left.values) == 0 || r.left.values[0].Type() != to.Type() {
		tape.Misfit("no such value")
	}
	to.Set(copied(r.left.values[0]))
	r.left.values = r.left.values[1:]
}

// left is what nobody has read.
func (r *reel) rest() (n int) {
	for _, c := range r.left.numbers {
		n += len(c)
	}
	return n + len(r.left.marks) + len(r.left.values)
}

// story tells an analysis all of a record.
type story func(t testing.TB, r *Run)

// bySamples judges a story by a job.
func (s story) bySamples(t testing.TB, job *procedure.Job, on *memory) Result {
	r := New(job, nil)
	if on != nil {
		r.Tape(on)
	}
	s(t, r)
	return r.Finish()
}

// alike wants two values alike to the bit, field by field, and nil apart from empty.
func alike(t testing.TB, at string, a, b reflect.Value) {
	switch a.Kind() {
	case reflect.Float64:
		require.Equal(t, math.Float64bits(a.Float()), math.Float64bits(b.Float()), at)
	case reflect.Pointer, reflect.Interface:
		require.Equal(t, a.IsNil(), b.IsNil(), at)
		if !a.IsNil() {
			alike(t, at, a.Elem(), b.Elem())
		}
	case reflect.Slice, reflect.Array:
		if a.Kind() == reflect.Slice {
			require.Equal(t, a.IsNil(), b.IsNil(), at)
		}
		require.Equal(t, a.Len(), b.Len(), at)
		for k := range a.Len() {
			alike(t, at, a.Index(k), b.Index(k))
		}
	case reflect.Struct:
		for k := range a.NumField() {
			alike(t, at+"."+a.Type().Field(k).Name, a.Field(k), b.Field(k))
		}
	default:
		require.True(t, a.Equal(b), at)
	}
}

func sameResult(t testing.TB, what string, want, got Result) {
	t.Helper()
	alike(t, what, reflect.ValueOf(want), reflect.ValueOf(got))
}

// leaf is one field of a job that can be changed by itself.
type leaf struct {
	path    string
	changes []func(reflect.Value)
	at      func(job *procedure.Job) reflect.Value
}

// leaves are all fields of a type, those of its structs one by one.
func leaves(path string, of reflect.Type, at func(*procedure.Job) reflect.Value) (all []leaf) {
	if of.Kind() == reflect.Struct {
		for k := range of.NumField() {
			all = append(all, leaves(path+"."+of.Field(k).Name, of.Field(k).Type, func(j *procedure.Job) reflect.Value { return at(j).Field(k) })...)
		}
		return all
	}
	return []leaf{{path, changesOf(of), at}}
}

// words are what a text of a job may say.
var words = []string{
	"", "other", "TIG", "MAG", "pulsed", "dip", "vertical", "horizontal", string(procedure.ArcEnergy), string(procedure.EN1011),
	string(bore.Helix), string(bore.Rings), "torch", "source",
}

// changesOf are changes of a field of a type.
func changesOf(of reflect.Type) (all []func(reflect.Value)) {
	switch of.Kind() {
	case reflect.Float64:
		for _, factor := range []float64{0, 0.4, 0.97, 1.02, 3} {
			all = append(all, func(v reflect.Value) { v.SetFloat(v.Float() * factor) })
		}
		return append(all, func(v reflect.Value) { v.SetFloat(v.Float() + 0.01) }, func(v reflect.Value) { v.SetFloat(v.Float() + 130) })
	case reflect.String:
		for _, word := range words {
			all = append(all, func(v reflect.Value) { v.SetString(word) })
		}
		return all
	case reflect.Bool:
		return append(all, func(v reflect.Value) { v.SetBool(!v.Bool()) })
	case reflect.Int, reflect.Int64, reflect.Int8:
		return append(all, func(v reflect.Value) { v.SetInt(v.Int() + 1) })
	case reflect.Uint8:
		return append(all, func(v reflect.Value) { v.SetUint(1 - min(1, v.Uint())) })
	case reflect.Slice:
		return append(all, func(v reflect.Value) { v.SetZero() }, func(v reflect.Value) {
			one := reflect.New(of.Elem()).Elem()
			if of.Elem().Kind() == reflect.Pointer {
				one.Set(reflect.New(of.Elem().Elem()))
			}
			v.Set(reflect.Append(v, one))
		})
	case reflect.Map:
		return append(all, func(v reflect.Value) { v.Set(reflect.MakeMap(of)) })
	default:
		panic("how is a " + of.String() + " changed?")
	}
}

// limitsOf are the fields that a tape is for.
var limitsOf = []string{
	"Job.Procedure.Limits.Voltage.Low", "Job.Procedure.Limits.HeatInput.High", "Job.Procedure.Limits.TravelSpeed.HasLow", "Job.Procedure.Judge.AverageOver",
	"Job.Procedure.Judge.Dwell", "Job.Procedure.Judge.GuardBand", "Job.Procedure.Judge.Definition", "Job.Procedure.Judge.ArcOnTolerance",
}

// sharedBy is by how many records the changes are shared out; each of them is tried with every
// record where the whole is asked for.
var sharedBy = func() int {
	if os.Getenv("ARCTALLY_EVERY_LIMIT") != "" {
		return 1
	}
	return 19
}()

// samplesOf are fields that only samples tell about.
var samplesOf = []string{"Job.Procedure.Judge.ArcCurrent", "Job.Procedure.Judge.ArcVoltage", "Job.Procedure.Judge.Hold", "Job.Instruments"}

// Whatever field of a job is changed, either it is one that the tape rests on, and the samples
// are judged, or the tape says the same as they do, to the bit. A field that somebody adds
// rests on the samples until he says otherwise.
func TestTapedBy_everyField(t *testing.T) {
	all := leaves("Job", reflect.TypeFor[procedure.Job](), func(j *procedure.Job) reflect.Value { return reflect.ValueOf(j).Elem() })
	byTape, bySamples, of := map[string]bool{}, map[string]bool{}, stories()
	for nth, name := range slices.Sorted(maps.Keys(of)) {
		s := of[name]
		var written memory
		whole := s.story.bySamples(t, s.job(), &written)
		sameResult(t, name+": writing changes nothing", s.story.bySamples(t, s.job(), nil), whole)
		require.NotEmpty(t, whole.Passes, name)
		tries := 0
		for _, l := range all {
			for _, change := range l.changes {
				changed := s.job()
				if change(l.at(changed)); reflect.DeepEqual(s.job(), changed) {
					continue
				}
				if !reflect.DeepEqual(TapedBy(s.job()), TapedBy(changed)) {
					bySamples[l.path] = true
					continue
				}
				byTape[l.path] = true
				if tries++; (tries+nth)%sharedBy != 0 {
					continue
				}
				from := &reel{written}
				got, err := New(changed, nil).Play(from)
				require.NoError(t, err, "%s: %s", name, l.path)
				require.Zero(t, from.rest())
				sameResult(t, name+": "+l.path, s.story.bySamples(t, changed, nil), got)
			}
		}
	}
	for _, path := range limitsOf {
		assert.True(t, byTape[path], path)
	}
	for _, path := range samplesOf {
		assert.False(t, byTape[path], path)
		assert.True(t, bySamples[path], path)
	}
}

// A tape that does not fit to what is asked of it is given up, wherever it is cut and whatever
// is judged by it.
func TestPlay_misfit(t *testing.T) {
	var written memory
	s := stories()["rings, counted"]
	s.story.bySamples(t, s.job(), &written)
	for range 40 {
		cut := written
		cut.marks = cut.marks[:rand.IntN(len(cut.marks))]
		_, err := New(s.job(), nil).Play(&reel{cut})
		require.Error(t, err)
	}
	other := s.job()
	other.Deposit.Pattern = bore.SegmentOneWay
	_, err := New(other, nil).Play(&reel{written})
	require.Error(t, err)
}

// An analysis that began with what was heard before is played as it began.
func TestPlay_beginsWithWhatWasHeard(t *testing.T) {
	s := stories()["helix, counted"]
	heard := []rotation.Said{{Tick: 1, Angle: 200, By: "Operator 2"}} // what the record says at that tick is known then
	var written memory
	taped := New(s.job(), nil)
	taped.Tape(&written)
	taped.Begin(heard)
	s.story(t, taped)
	want := taped.Finish()
	got, err := New(s.job(), nil).Play(&reel{written})
	require.NoError(t, err)
	sameResult(t, "Result", want, got)
	plain := s.story.bySamples(t, s.job(), nil)
	require.NotEqual(t, plain.Passes[0].StartPlace, want.Passes[0].StartPlace, "it says something else")
}

// FuzzTape: whatever a source says, another limit is judged from the tape as from the samples.
func FuzzTape(f *testing.F) {
	for seed := range byte(20) {
		text := make([]byte, 2000)
		for k := range text {
			text[k] = byte((k*k*int(seed+3) + k*7 + int(seed)) >> 2)
		}
		f.Add(text)
	}
	f.Fuzz(func(t *testing.T, text []byte) {
		var written memory
		s := script{text}
		job := s.job()
		taped := New(job, nil)
		taped.Tape(&written)
		s.tell(t, taped, false)
		taped.Finish()
		again := script{text}
		other := again.job()
		other.Procedure.Limits.Voltage = between[quantity.Volts](10, 12)
		other.Procedure.Judge.Dwell = 0.01
		other.Procedure.Limits.HeatInput = quantity.Range[quantity.JoulesPerMetre]{High: 1e5, HasHigh: true}
		samples := New(other, nil)
		again.tell(t, samples, false)
		got, err := New(other, nil).Play(&reel{written})
		require.NoError(t, err)
		sameResult(t, "Result", samples.Finish(), got)
	})
}
