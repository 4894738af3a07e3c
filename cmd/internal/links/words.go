package links

import (
	"errors"
	"fmt"
	"regexp"
	"strconv"
	"strings"

	"arctally/acquire/foreign"
	"arctally/acquire/link"
	"arctally/acquire/port"
)

// heard says what became of listening to a port.
func (p *Port) heard(o outcome) {
	p.Speech = o.speech
	switch {
	case o.speech != nil && o.speech.Link == link.Columns:
		p.State = Meter
	case o.speech != nil:
		p.State = Speaks
	case o.any:
		p.State = Unknown
		p.Problem = "bytes come, and no frame of any link at any of " + rates(bauds) + " baud"
		p.Hint = "is its baud rate another one, or are its data lines mixed up? What this program understands stands in acquire/link/FORMAT.md; a plain meter sends lines of numbers"
	default:
		p.State = Silent
		p.Problem = "nothing comes"
		p.Hint = "check the supply of the box, and whether what it sends goes to what the adapter receives; a slave that only answers was asked, if at all, as units 1 and 2 without parity: one that is set otherwise is named in the job file, by link: modbus"
	}
	switch {
	case o.err != nil:
		p.Problem = o.err.Error()
		if e, ok := errors.AsType[*port.Error](o.err); ok {
			p.Hint = e.Hint()
		}
	case o.command:
		p.Problem = "the commands of a modem (\"AT\") are on the line: a modem manager has taken it for a modem"
		p.Hint = port.Advice()
	case o.speech != nil && o.speech.noMap:
		p.Problem = "which of its registers is what, only its manual knows"
		p.Hint = fmt.Sprintf("list them in the job file: {port: %s, link: modbus, baud: %d, unit: %d, registers: [{channel: gas_flow, address: 10, type: f32, function: 4, unit: L/min}]}", scalar(p.Name), o.speech.Baud, o.speech.unit)
	case o.speech != nil && !p.Lasting:
		p.Problem = "its name may be another's tomorrow"
		p.Hint = "it has no name below /dev/serial/by-id or /dev/serial/by-path: plug in no other adapter while this one is used"
	}
}

func rates(list []int) string {
	words := make([]string, 0, len(list))
	for _, baud := range list {
		words = append(words, strconv.Itoa(baud))
	}
	return strings.Join(words, ", ")
}

// Text says it of all ports, and ends with the lines for the job file.
func Text(ports []Port) string {
	var text strings.Builder
	for k := range ports {
		text.WriteString(ports[k].text())
	}
	if lines := Sensors(ports); lines != "" {
		text.WriteString("\n" + lines)
	}
	return text.String()
}

// Sensors are the lines for the job file; "" where nobody speaks.
func Sensors(ports []Port) string {
	var lines strings.Builder
	for k := range ports {
		if ports[k].Sensor != "" {
			lines.WriteString(ports[k].Sensor)
		}
	}
	if lines.Len() == 0 {
		return ""
	}
	return "sensors:\n" + lines.String()
}

func (p *Port) text() string {
	text := foreign.Line(p.Name) + "\n"
	if s := p.Speech; s != nil {
		text += "  " + s.who() + "\n  " + s.how() + "\n"
	}
	if p.Problem != "" {
		text += "  " + foreign.Line(p.Problem) + "\n"
	}
	if p.Hint != "" {
		text += "  hint: " + foreign.Line(p.Hint) + "\n"
	}
	return text
}

// who says who speaks, and by what.
func (s *Speech) who() string {
	who := "a box that does not say who it is"
	switch {
	case s.Link == link.Columns:
		who = "a plain meter, on an unprotected link"
	case s.Link == link.Modbus:
		who = fmt.Sprintf("a slave, unit %d, with the block map of sums", s.unit)
		if s.noMap {
			who = fmt.Sprintf("a slave, unit %d, with registers of its own", s.unit)
		}
	case s.Name != "" && s.Serial != "":
		who = foreign.Line(s.Name + ", serial " + s.Serial)
	case s.Name != "":
		who = foreign.Line(s.Name) + ", without a serial number"
	case s.Serial != "":
		who = "serial " + foreign.Line(s.Serial)
	}
	text := fmt.Sprintf("speaks %s at %d baud: %s", s.Link, s.Baud, who)
	switch {
	case len(s.Tried) == 0:
		return text
	case s.Link == link.Modbus:
		return text + fmt.Sprintf(" (nobody answers at %s baud)", rates(s.Tried))
	default:
		return text + fmt.Sprintf(" (nothing of it is understood at %s baud)", rates(s.Tried))
	}
}

// how says how it speaks.
func (s *Speech) how() string {
	switch s.Link {
	case link.Modbus:
		return "it speaks only when it is asked"
	case link.Columns:
		ranges := make([]string, 0, len(s.Ranges))
		for k, r := range s.Ranges {
			ranges = append(ranges, fmt.Sprintf("column %d from %v to %v", k+1, r.Low, r.High))
		}
		return fmt.Sprintf("%.1f lines/s; ", s.PerSecond(s.Frames)) + strings.Join(ranges, ", ")
	}
	return fmt.Sprintf("%.1f frames/s, %s samples/s of voltage and current; in %.1f s %d frames lost and %d damaged",
		s.PerSecond(s.Frames), amount(s.PerSecond(s.Samples)), s.Seconds, s.Lost, s.Damaged)
}

// amount writes a rate by its size.
func amount(x float64) string {
	if x >= 1000 {
		return fmt.Sprintf("%.1f k", x/1000)
	}
	return fmt.Sprintf("%.1f", x)
}

// sensorLine is the line for the job file.
func (p *Port) sensorLine() string {
	s := p.Speech
	body := fmt.Sprintf("port: %s, link: %s, baud: %d", scalar(p.Name), s.Link, s.Baud)
	switch {
	case s.noMap:
		return ""
	case s.Link == link.Modbus:
		return fmt.Sprintf("  - {%s, unit: %d, map: block}\n", body, s.unit)
	case s.Link != link.Columns:
		return "  - {" + body + "}\n"
	case s.Layout == nil:
		return ""
	}
	for _, word := range []struct {
		key, is string
		when    bool
	}{
		{"separator", words[s.Layout.Separator], s.Layout.Separator != ','},
		{"decimal", "comma", s.Layout.Point == ','},
	} {
		if word.when {
			body += ", " + word.key + ": " + word.is
		}
	}
	columns := make([]string, 0, len(s.Layout.Columns))
	for _, c := range s.Layout.Columns {
		columns = append(columns, c.Channel+": "+c.String())
	}
	return "  # a plain meter: that voltage stands in column 1 and current in column 2 is a guess; say what they are\n" +
		"  - {" + body + ", columns: {" + strings.Join(columns, ", ") + "}}\n"
}

// Says is who speaks, by which link and how fast, in one line; "" where nobody is
// understood.
func (p *Port) Says() string {
	if p.Speech == nil {
		return ""
	}
	return p.Speech.who() + "; " + p.Speech.how()
}

// Values are those of a sensor of a job, by their keys; none where nobody is understood.
// A plain meter has what is a guess left out.
func (p *Port) Values() map[string]string {
	values := map[string]string{}
	if s := p.Speech; s != nil {
		values["port"], values["link"], values["baud"] = p.Name, s.Link, strconv.Itoa(s.Baud)
		if s.unit != 0 {
			values["unit"] = strconv.Itoa(int(s.unit))
		}
		if s.unit != 0 && !s.noMap {
			values["map"] = "block"
		}
		if s.Layout != nil {
			values["separator"] = words[s.Layout.Separator]
			if s.Layout.Point == ',' {
				values["decimal"] = "comma"
			}
		}
	}
	return values
}

// words are those of the job file for what parts two columns.
var words = map[byte]string{',': "comma", ';': "semicolon", '\t': "tab", ' ': "space"}

// bare is text that YAML takes as it stands, also between braces.
var bare = regexp.MustCompile(`^/[A-Za-z0-9/_.+-]+$`)

// scalar writes a text as YAML.
func scalar(text string) string {
	if bare.MatchString(text) {
		return text
	}
	if foreign.Line(text) != text {
		return strconv.Quote(text)
	}
	return "'" + strings.ReplaceAll(text, "'", "''") + "'"
}
