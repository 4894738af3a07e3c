package capture

import (
	"bytes"
	"fmt"
	"math"
	"math/rand/v2"
	"time"
)

// logger writes captures as loggers beside power sources do: messages come
// much faster than values change, and the last values are held while the arc
// is off. Everything it writes is invented, and it knows the truth.
type logger struct {
	seed     uint64
	duration float64 // s
	rate     float64 // messages/s
	jitter   float64 // share of the time between messages
	refresh  float64 // s; 0 is with every message
	wander   float64 // share by which a refresh comes early or late
	arcs     [][2]float64
	gaps     [][2]float64 // s without messages
	volts    float64      // resolution in V
	amperes  float64      // resolution in A
	vNoise   float64
	iNoise   float64
	apart    bool    // voltage and current are refreshed each in its own rhythm
	back     float64 // share of rows whose time stamp steps back
	restart  bool    // a refresh comes as the arc is struck, and the next ones count from there
	idleZero bool    // values fall to zero while the arc is off, instead of being held
}

// reading is one message.
type reading struct {
	at   int64 // ns since the start, as stamped
	v, i float64
	arc  bool
}

// steady is an arc of beads with pauses, as robots and bore machines lay them.
func steady() logger {
	return logger{
		seed: 1, duration: 240, rate: 250, jitter: 0.1, refresh: 0.3, wander: 0.01, volts: 0.1, amperes: 1,
		vNoise: 0.35, iNoise: 6, arcs: beads(240, 2.3, 14, 6.5),
	}
}

// beads returns arc intervals of on seconds, parted by pauses of off seconds.
func beads(duration, first, on, off float64) [][2]float64 {
	var arcs [][2]float64
	for at := first; at+on < duration; at += on + off {
		arcs = append(arcs, [2]float64{at, at + on})
	}
	return arcs
}

func within(at float64, intervals [][2]float64) bool {
	for _, x := range intervals {
		if at >= x[0] && at < x[1] {
			return true
		}
	}
	return false
}

// arcTime is the truth in s.
func (g logger) arcTime() float64 {
	sum := 0.0
	for _, a := range g.arcs {
		sum += a[1] - a[0]
	}
	return sum
}

func (g logger) readings() []reading {
	random := rand.New(rand.NewPCG(g.seed, 7))
	round := func(x, to float64) float64 { return math.Round(x/to) * to }
	// What the display held before the first arc is from the bead before.
	v, i := round(18.4, g.volts), round(143, g.amperes)
	nextV, nextI := 0.0, 0.1
	burning := false
	var out []reading
	for k := 0; ; k++ {
		at := (float64(k) + g.jitter*(random.Float64()-0.5)) / g.rate
		if at >= g.duration {
			break
		}
		arc := within(at, g.arcs)
		if g.restart && arc && !burning {
			nextV, nextI = at, at
		}
		burning = arc
		due := at >= nextV
		if due {
			nextV = g.after(nextV, at, random)
			v = g.show(v, arc, round(18.2+g.vNoise*random.NormFloat64(), g.volts))
		}
		if at >= nextI && g.apart || due && !g.apart {
			nextI = g.after(nextI, at, random)
			i = g.show(i, arc, round(141+g.iNoise*random.NormFloat64(), g.amperes))
		}
		if !within(at, g.gaps) {
			out = append(out, reading{max(int64(at*1e9), 0), v, i, arc})
		}
	}
	return g.stepBack(out, random)
}

func (g logger) after(due, now float64, random *rand.Rand) float64 {
	for due <= now {
		due += max(g.refresh*(1+g.wander*random.NormFloat64()), 1e-9)
		if g.refresh == 0 {
			return now
		}
	}
	return due
}

func (g logger) show(last float64, arc bool, value float64) float64 {
	switch {
	case arc:
		return value
	case g.idleZero:
		return 0
	default:
		return last
	}
}

// stepBack exchanges neighbours, as two writers of one file do.
func (g logger) stepBack(r []reading, random *rand.Rand) []reading {
	for k := 0; k+1 < len(r) && g.back > 0; k++ {
		if random.Float64() < g.back/(1-g.back) {
			r[k], r[k+1] = r[k+1], r[k]
			k++
		}
	}
	return r
}

// epoch is where the invented captures begin.
var epoch = time.Date(2031, 3, 4, 9, 15, 0, 123456789, time.UTC).UnixNano()

// epochSeconds writes ns as seconds with nine decimals.
func epochSeconds(at int64) string {
	return fmt.Sprintf("%d.%09d", (epoch+at)/1e9, (epoch+at)%1e9)
}

func bit(on bool) int {
	if on {
		return 1
	}
	return 0
}

// shapeA: no header or one, epoch seconds with nine decimals, an arc flag.
func shapeA(r []reading, header, flag bool) []byte {
	var b bytes.Buffer
	if header {
		b.WriteString("timestamp,seq,current,voltage,speed")
		if flag {
			b.WriteString(",arc_on")
		}
		b.WriteString("\n")
	}
	for k, x := range r {
		fmt.Fprintf(&b, "%s,%d,%.0f,%.1f,%.4f", epochSeconds(x.at), k, x.i, x.v, 0.0061)
		if flag {
			fmt.Fprintf(&b, ",%d", bit(x.arc))
		}
		b.WriteString("\n")
	}
	return b.Bytes()
}

// shapeB: no header, epoch seconds, voltage in tenths of a volt.
func shapeB(r []reading) []byte {
	var b bytes.Buffer
	for _, x := range r {
		fmt.Fprintf(&b, "%s,%.0f,%.0f\n", epochSeconds(x.at), x.v*10, x.i)
	}
	return b.Bytes()
}

// shapeC: CR alone, spaces after the commas of the header, minute:second.tenth.
func shapeC(r []reading, from int64, flag bool) []byte {
	var b bytes.Buffer
	b.WriteString("Time, Arc Voltage, Weld Current, Wire Feed")
	if flag {
		b.WriteString(", Arc On")
	}
	b.WriteString("\r")
	for _, x := range r {
		tenths := (from + x.at) / 1e8
		fmt.Fprintf(&b, "%02d:%02d.%d,%.1f,%.0f,%.1f", tenths/600%60, tenths/10%60, tenths%10, x.v, x.i, 6.2)
		if flag {
			fmt.Fprintf(&b, ",%d", bit(x.arc))
		}
		b.WriteString("\r")
	}
	return b.Bytes()
}

// Scale factors of shape D, as a person would give them.
const countVolts, countAmperes = 0.0244, 0.122

// shapeD: raw counts of a converter at 50 kHz, no time; a short-circuit arc
// between the given times. It returns the truth in s and J as well.
func shapeD(seconds float64, arcs [][2]float64) (text []byte, arcTime, energy float64) {
	const rate = 50000.0
	random := rand.New(rand.NewPCG(4, 2))
	var b bytes.Buffer
	var lastP float64
	lastArc := false
	for k := range int(seconds * rate) {
		at := float64(k) / rate
		v, i := 64+0.05*random.NormFloat64(), 0.3*random.NormFloat64()
		arc := within(at, arcs)
		if arc {
			phase := math.Mod(at*68, 1)
			v, i = 21+0.6*random.NormFloat64(), 185+25*math.Cos(2*math.Pi*phase)+random.NormFloat64()
			if phase < 0.17 {
				v, i = 8.6+0.4*random.NormFloat64(), 190+900*phase+random.NormFloat64()
			}
		}
		cv, ci := math.Round(v/countVolts), math.Round(i/countAmperes)
		fmt.Fprintf(&b, "%d\t%d\r\n", int(cv), int(ci))
		p := cv * countVolts * ci * countAmperes
		if arc && lastArc {
			arcTime += 1 / rate
			energy += (p + lastP) / 2 / rate
		}
		lastArc, lastP = arc, p
	}
	return b.Bytes(), arcTime, energy
}
