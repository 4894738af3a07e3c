package rotation

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"arctally/acquire/quantity"
	"arctally/analyze/bore"
	"arctally/analyze/procedure"
)

// anchored returns a torch of 360 counts that starts at 30 degrees and turns a degree in
// a second, by counts from 100 on; it has passed none of them.
func anchored(degrees int) *Torch {
	t := NewTorch(&procedure.Job{Rotation: procedure.Rotation{Speed: 1.0 / 360, StartAngle: 30}})
	t.CountsPerTurn(360)
	for k := range degrees {
		t.Count(int64(k)*s, int64(100+k))
	}
	return t
}

// struckAt begins a pass at so many degrees after the first count, and wants the torch to
// stand at an angle then, known from what the basis says.
func (t *Torch) struckAt(test *testing.T, degrees int64, fresh bool, angle float64, basis AngleBasis) {
	test.Helper()
	t.passTo(degrees * s)
	t.BeginPass(degrees*s, fresh)
	got, _ := t.AngleBasis()
	require.Equal(test, basis, got)
	stands := 30 + quantity.Degrees(360*(t.Dial(degrees*s)-t.Zero()))
	require.InDelta(test, 0, float64(bore.AngleDifference(stands, quantity.Degrees(angle))), 1e-6, "it stands at %g", float64(bore.NormalAngle(stands)))
}

// Without more, the first strike stands at the start angle, however far the torch was
// jogged before; from there the counts carry it.
func TestTorch_anchoredByTheFirstStrike(t *testing.T) {
	torch := anchored(700)
	torch.struckAt(t, 470, true, 30, ByStrike)
	torch.EndPass(500 * s)
	torch.struckAt(t, 600, true, 160, ByStrike)
	require.InDelta(t, 6, float64(torch.AngleUncertainty(0)), 0.1, "3 degrees, one standard deviation")
}

// A count at the mark is best: also one that comes after the strike, when it is known.
func TestTorch_anchoredByTheIndex(t *testing.T) {
	torch := anchored(700)
	torch.Index(0, 520*s, 620) // 0 degrees after 520 s
	torch.Say(Said{Tick: 400 * s, Angle: 7, By: "Operator 1"})
	torch.struckAt(t, 470, true, 310, ByIndex)
	torch.EndPass(500 * s)
	torch.Index(0, 560*s, 660) // the counter slipped by 40
	torch.struckAt(t, 550, true, 30, ByIndex)
	torch.EndPass(570 * s)
	torch.struckAt(t, 580, true, 20, ByIndex)
	require.InDelta(t, 0.85, float64(torch.AngleUncertainty(0)), 0.1)
	_, late := torch.Heard(), torch.Late()
	require.False(t, late)
}

// What a person said holds for the passes after it, and the first of it for those before.
func TestTorch_anchoredByWhatWasSaid(t *testing.T) {
	torch := anchored(700)
	torch.Say(Said{Tick: 400 * s, Angle: 7, By: "Operator 1"})
	torch.Say(Said{Tick: 540*s + s/2, Angle: 0, By: "Operator 2"})
	torch.struckAt(t, 470, true, 77, BySaid)
	_, by := torch.AngleBasis()
	require.Equal(t, "Operator 1", by.By)
	torch.EndPass(500 * s)
	torch.struckAt(t, 600, true, 59.5, BySaid)
	_, by = torch.AngleBasis()
	require.Equal(t, "Operator 2", by.By)
	require.False(t, torch.Late())
	heard := torch.Heard()
	require.Equal(t, []bool{true, true}, []bool{heard[0].Heard, heard[1].Heard})
	require.InDelta(t, 400, heard[0].Counts, 1e-9)
	require.InDelta(t, 540.5, heard[1].Counts, 1e-9)
}

// What is said after a pass holds for it as well: it is judged anew, with what has been
// heard by then.
func TestTorch_saidTooLate(t *testing.T) {
	torch := anchored(700)
	torch.struckAt(t, 470, true, 30, ByStrike)
	torch.EndPass(500 * s)
	torch.Say(Said{Tick: 510 * s, Angle: 50, By: "Operator 1"})
	require.False(t, torch.Late())
	torch.passTo(520 * s)
	require.True(t, torch.Late())
	again := anchored(700)
	for _, s := range torch.Heard() {
		again.Say(s)
	}
	again.struckAt(t, 470, true, 10, BySaid)
	again.EndPass(500 * s)
	again.passTo(690 * s)
	again.Finish()
	require.False(t, again.Late())

	torch = anchored(700) // said when nothing is counted any more
	torch.struckAt(t, 470, true, 30, ByStrike)
	torch.EndPass(500 * s)
	torch.passTo(699 * s)
	torch.Say(Said{Tick: 800 * s, Angle: 50, By: "Operator 1"})
	torch.Finish()
	require.True(t, torch.Late())
	torch = anchored(700)
	torch.struckAt(t, 470, true, 30, ByStrike)
	torch.Index(0, 480*s, 580)
	require.True(t, torch.Late())
}

// With one count a turn nothing tells how far the torch stands past it. Where it stood
// still from when a person said its angle until it was struck, that does not matter.
func TestTorch_saidBeforeTheStrike(t *testing.T) {
	torch := NewTorch(&procedure.Job{Rotation: procedure.Rotation{Speed: 1.0 / 48}})
	torch.CountsPerTurn(1)
	torch.Count(0, 5)
	torch.Say(Said{Tick: 20 * s, Angle: 90, By: "Operator 1"})
	torch.Count(100*s+12*s, 6) // a quarter of a turn after the strike
	torch.passTo(100 * s)
	torch.BeginPass(100*s, true)
	require.InDelta(t, 0.25, torch.Dial(100*s)-torch.Zero(), 1e-9)
	torch.passTo(112 * s)
	require.InDelta(t, 0.5, torch.Dial(112*s)-torch.Zero(), 1e-9)
}

// After a restart the angle is carried on and counts as not known, until a pass begins
// anew at the start angle, or somebody says it.
func TestTorch_brokenThread(t *testing.T) {
	torch := anchored(200)
	torch.struckAt(t, 20, true, 30, ByStrike)
	torch.EndPass(199 * s)
	torch.Epoch(1, 199*s)
	for k := range int64(300) {
		torch.Count(k*s, k)
	}
	torch.struckAt(t, 10, false, 209, Unknown)
	require.Equal(t, NoAngle, torch.AngleUncertainty(0))
	torch.EndPass(50 * s)
	torch.struckAt(t, 60, true, 30, ByStrike)
	torch.EndPass(90 * s)
	torch.Epoch(2, 299*s)
	torch.Count(0, 0)
	torch.Count(s, 1)
	torch.Say(Said{Epoch: 2, Tick: s, Angle: 200, By: "Operator 1"})
	torch.struckAt(t, 2, false, 200, BySaid)
}

// Who looks ahead takes an anchor at once; without counts each pass begins by its plan.
func TestTorch_Reanchor(t *testing.T) {
	torch := anchored(700)
	torch.struckAt(t, 470, true, 30, ByStrike)
	torch.Say(Said{Tick: 470*s + 1, Angle: 77, By: "Operator 1"})
	torch.Reanchor(470 * s)
	basis, _ := torch.AngleBasis()
	require.Equal(t, BySaid, basis)
	require.InDelta(t, 47.0/360, torch.Dial(470*s)-torch.Zero(), 1e-6)
	torch.Index(0, 470*s, 570)
	torch.Reanchor(470 * s)
	basis, _ = torch.AngleBasis()
	require.Equal(t, ByIndex, basis)

	torch = NewTorch(&procedure.Job{Rotation: procedure.Rotation{Speed: 0.01}})
	torch.Say(Said{Tick: 0, Angle: 77, By: "Operator 1"})
	torch.BeginPass(s, true)
	torch.Reanchor(s)
	basis, _ = torch.AngleBasis()
	require.Equal(t, ByPlan, basis)
	require.Zero(t, torch.Zero())
	require.InDelta(t, 6, float64(torch.AngleUncertainty(0)), 1e-9)
	require.InDelta(t, 2*360*0.029, float64(torch.AngleUncertainty(1)), 1, "after a turn")
	require.Equal(t, NoAngle, torch.AngleUncertainty(20))
}

// The counter begins anew within an epoch: nothing that anchored it before holds for what
// comes after, until the next anchor, or a pass that begins where the plan has it.
func TestTorch_countsAnew(t *testing.T) {
	torch := anchored(700)
	torch.Index(0, 20*s, 120)
	torch.struckAt(t, 30, true, 10, ByIndex)
	torch.CountsAnew(40 * s)
	basis, by := torch.AngleBasis()
	require.Equal(t, Unknown, basis)
	require.Nil(t, by)
	require.Equal(t, NoAngle, torch.AngleUncertainty(0))
	torch.EndPass(50 * s)
	torch.passTo(60 * s)
	torch.BeginPass(60*s, false)
	basis, _ = torch.AngleBasis()
	require.Equal(t, Unknown, basis, "gone on with")
	torch.EndPass(70 * s)
	torch.struckAt(t, 80, true, 30, ByStrike)
	torch.EndPass(90 * s)
	torch.Index(0, 100*s, 200)
	torch.struckAt(t, 110, true, 10, ByIndex)
}

// Counts that another clock dates are off by as far as the torch turns in what is not
// known of the time: a degree a second here, and 2 s.
func TestTorch_countsApart(t *testing.T) {
	torch := anchored(700)
	torch.Index(0, 20*s, 120)
	torch.struckAt(t, 30, true, 10, ByIndex)
	before := float64(torch.AngleUncertainty(0))
	torch.CountsApart(2)
	require.InDelta(t, math.Hypot(before, 2), float64(torch.AngleUncertainty(0)), 1e-9)
	require.InDelta(t, 1.0/360, float64(torch.Rate()), 1e-12)
	torch.CountsApart(0)
	require.InDelta(t, before, float64(torch.AngleUncertainty(0)), 1e-12)
}
