package sheettest

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"image"
	"image/color"
	"image/jpeg"
	"image/png"
	"strings"
	"time"

	"arctally/acquire/quantity"
	"arctally/analyze"
	"arctally/analyze/bore"
	"arctally/analyze/finding"
	"arctally/analyze/heat"
	"arctally/analyze/inspect"
	"arctally/analyze/pass"
	"arctally/report/sheet"
)

// Pictures are a photograph of each kind, and one that is broken.
func Pictures() map[string][]byte {
	disc := image.NewRGBA(image.Rect(0, 0, 320, 240))
	for x := range 320 {
		for y := range 240 {
			shade := uint8(60 + (x*7+y*3)%90)
			if (x-160)*(x-160)+(y-120)*(y-120) < 90*90 {
				shade = uint8(170 + (x+y)%60)
			}
			disc.Set(x, y, color.RGBA{shade, shade, shade - 20, 255})
		}
	}
	var asJPEG, asPNG bytes.Buffer
	if err := jpeg.Encode(&asJPEG, disc, nil); err != nil {
		panic(err)
	}
	if err := png.Encode(&asPNG, disc); err != nil {
		panic(err)
	}
	return map[string][]byte{"image/jpeg": asJPEG.Bytes(), "image/png": asPNG.Bytes(), "broken": asJPEG.Bytes()[:300]}
}

// Hashed names a content by its SHA-256.
func Hashed(content []byte) string {
	sum := sha256.Sum256(content)
	return hex.EncodeToString(sum[:])
}

// Decided is the invented job after a person has looked at some of it.
func Decided() sheet.Input {
	in := Input()
	in.Result.Map = Map()
	pictures := Pictures()
	held := map[string]struct {
		mime    string
		content []byte
	}{}
	photograph := func(kind, mime, caption string) inspect.Photograph {
		content := pictures[kind]
		held[Hashed(content)] = struct {
			mime    string
			content []byte
		}{mime, content}
		return inspect.Photograph{SHA256: Hashed(content), Type: mime, Size: int64(len(content)), Caption: caption}
	}
	in.Photograph = func(sha256 string) (string, []byte, bool) {
		p, ok := held[sha256]
		return p.mime, p.content, ok
	}
	at := func(minute int) time.Time { return time.Date(2026, 3, 2, 15, minute, 0, 0, time.UTC) }
	about := func(k int, method inspect.Method, result inspect.Result, decision inspect.Decision, remark string) *inspect.Disposition {
		return &inspect.Disposition{Of: inspect.Refer(&in.Result.Findings[k]), Method: method, Result: result, Decision: decision, Remark: remark}
	}
	in.Entries = []inspect.Entry{
		{
			Number: 1, At: at(2), By: "Inspector 1",
			Disposition: about(0, inspect.Visual, inspect.NotInspected, inspect.KeepOpen, "too hot to look at"),
		},
		{
			Number: 2, At: at(30), By: "Inspector 1",
			Disposition: about(0, inspect.LiquidPenetrant, inspect.NoIndication, inspect.Accept, "bead even, no undercut"),
			Photographs: []inspect.Photograph{photograph("image/jpeg", "image/jpeg", "after the penetrant, 130 deg")},
		},
		{
			Number: 3, At: at(41), By: "Inspector 1",
			Disposition: about(1, inspect.Visual, inspect.NotAcceptable, inspect.Repair, "hole at the restart: grind out and weld again"),
			Photographs: []inspect.Photograph{
				photograph("image/png", "image/png", "restart at 212 deg"), photograph("broken", "image/jpeg", "torn off while it was sent"),
				{SHA256: strings.Repeat("ab", 32), Type: "image/jpeg", Size: 4711, Caption: "never arrived"},
			},
		},
		{Number: 4, At: at(59), By: "Machinist 1", Machining: Machining()},
	}
	return in
}

// Machining is a final measurement of six diameters.
func Machining() *inspect.Machining {
	mm := func(v float64) quantity.Metres { return quantity.Metres(v / 1000) }
	return &inspect.Machining{
		Instrument: "bore gauge 7", Expanded: new(mm(0.006)), CleanedUp: inspect.AllRound,
		Wanted: between[quantity.Metres](90, 90.035, "mm"), Remark: "measured at 21 degC",
		Stations: []inspect.Station{
			{Depth: mm(5), Angle: 0, Diameter: mm(90.017)},
			{Depth: mm(5), Angle: 90, Diameter: mm(90.021)},
			{Depth: mm(30), Angle: 0, Diameter: mm(90.015)},
			{Depth: mm(30), Angle: 90, Diameter: mm(90.018)},
			{Depth: mm(55), Angle: 0, Diameter: mm(90.016)},
			{Depth: mm(55), Angle: 90, Diameter: mm(90.019)},
		},
	}
}

// Long is a job of 200 passes and 150 findings, named in three scripts.
func Long() sheet.Input {
	in := Decided()
	in.Job.Name = "Bras de relevage №2, œillet inférieur — Κάτω πείρος, нижний палец"
	in.Result.Passes, in.Result.Findings, in.Entries = nil, nil, nil
	verdicts := []heat.Verdict{heat.Within, heat.Within, heat.WithinNearLimit, heat.Within, heat.OutsideNearLimit, heat.Within, heat.Outside}
	for number := 1; number <= 200; number++ {
		p := Pass(number)
		p.Layer = 1 + number/25
		p.Verdict = verdicts[number%len(verdicts)]
		in.Result.Passes = append(in.Result.Passes, p)
	}
	rules := []finding.Rule{finding.Voltage, finding.Current, finding.ArcOut, finding.GasFlow, finding.WireSpeed, finding.HeatInput}
	for number := 1; number <= 150; number++ {
		f := Finding(number, rules[number%len(rules)], float64(number*37%360), float64(number*7%60), 170, 160)
		if unit := sheet.MeasureOf(f.Rule, sheet.Metric); unit.Name == "m/min" || unit.Name == "L/min" || unit.Name == "kJ/mm" { // SI is far off there
			f = Finding(number, finding.ArcOnRatio, float64(number*37%360), float64(number*7%60), 0.84, 0.88)
		}
		f.Sentence = fmt.Sprintf("finding %d of this job: %s", number, f.Sentence)
		in.Result.Findings = append(in.Result.Findings, f)
		if number%3 == 0 {
			remark := "as it should be"
			if number == 30 {
				remark = strings.Repeat("a long remark that a person dictated, word for word. ", 110)
			}
			in.Entries = append(in.Entries, inspect.Entry{
				Number: len(in.Entries) + 1, At: time.Date(2026, 3, 9, 12, number%60, 0, 0, time.UTC), By: "Inspector 1",
				Disposition: &inspect.Disposition{
					Of: inspect.Refer(&f), Method: inspect.MagneticParticle, Result: inspect.NoIndication, Decision: inspect.Accept, Remark: remark,
				},
			})
		}
	}
	for k := range 60 {
		in.Result.Warnings = append(in.Result.Warnings, analyze.Warning{
			Kind: "held-value", Pass: k + 1, Start: pass.Moment{Tick: int64(k) * 1e12}, Count: int64(k), Text: "a display held its last value after the arc had gone out",
		})
	}
	for k, angle := range []float64{10, 40} {
		in.Job.Deposit.Gaps = append(in.Job.Deposit.Gaps, bore.Gap{From: quantity.Degrees(150 + angle), To: quantity.Degrees(155 + angle + float64(k))})
	}
	return in
}

// Proven is a job of which every pass is proved.
func Proven() sheet.Input {
	in := Input()
	in.Result.Findings = nil
	in.Result.Passes = []pass.Pass{Pass(1), Pass(2)}
	for k := range in.Result.Passes {
		b := Budget()
		b[1].Due, b[2].Basis, b[2].Due = "2027-01-12", heat.Measured, "2027-01-12"
		in.Result.Passes[k].Budget = b
	}
	return in
}

// Crowded is a job of 40 passes and 2300 findings: set-points that are off in every pass, a voltage and a current
// that leave their limits again and again, and holes, gas and stubbing here and there.
func Crowded() sheet.Input {
	in := Input()
	in.Result.Passes, in.Result.Findings = nil, nil
	add := func(number, inPass int, rule finding.Rule, angle, worst, limit float64) {
		f := Finding(number, rule, angle, float64(inPass%20)*3, worst, limit)
		if rule == finding.HeatInput || rule == finding.Interpass {
			f = Whole(number, rule, worst, limit)
		}
		f.Pass, f.Layer, f.Start = inPass, 1+inPass/10, pass.Moment{Tick: int64(inPass)*1_200_000_000_000 + int64(angle)*2_600_000_000}
		in.Result.Findings = append(in.Result.Findings, f)
	}
	for p := 1; p <= 40; p++ {
		in.Result.Passes = append(in.Result.Passes, Pass(p))
		add(len(in.Result.Findings)+1, p, finding.HeatInput, 0, 640e3, 550e3)
		add(len(in.Result.Findings)+1, p, finding.Interpass, 0, 268, 250)
		for k := range 28 {
			angle := float64((13*k + p) % 360)
			add(len(in.Result.Findings)+1, p, finding.Voltage, angle, 20, 19)
			if k < 25 {
				add(len(in.Result.Findings)+1, p, finding.Current, angle, 165, 160)
			}
		}
		if p <= 20 {
			add(len(in.Result.Findings)+1, p, finding.ArcOut, float64(9*p), 0.8, 0.3)
			add(len(in.Result.Findings)+1, p, finding.GasFlow, float64(11*p), 0.00015, 0.0002)
			add(len(in.Result.Findings)+1, p, finding.Stubbing, float64(13*p), 8, 2)
			add(len(in.Result.Findings)+1, p, finding.WireSpeed, float64(15*p), 0.0625, 0.075)
			add(len(in.Result.Findings)+1, p, finding.TravelSpeed, float64(17*p), 0.0045, 0.005)
		}
	}
	return in
}
