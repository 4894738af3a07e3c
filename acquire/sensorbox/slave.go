package sensorbox

import (
	"bytes"
	"context"
	"errors"
	"io"
	"math"
	"os"
	"slices"
	"sync"
	"time"

	"arctally/acquire/modbus"
)

// Slave answers on a Modbus line with what Image says, but for its troubles.
type Slave struct {
	Unit uint8
	// Image returns the registers that are asked for, or the exception by which the
	// slave refuses; 0 is none.
	Image func(modbus.Request) ([]uint16, modbus.Exception)
	// Trouble says what goes wrong with the answer to a request, by its number from 0;
	// nil is nothing.
	Trouble func(number int) SlaveTrouble

	writing sync.Mutex
	waiting sync.WaitGroup // answers that are late
}

// SlaveTrouble is what goes wrong with one answer.
type SlaveTrouble struct {
	Silent    bool
	Late      time.Duration
	Exception modbus.Exception // refuses; 0 does not
	Torn      bool             // the last register is that of another state
	Echo      bool             // the line sends the request back
	Before    []byte           // comes before the answer: noise, or another slave
	After     []byte           // comes behind it
	// Spoil changes the bytes of the answer.
	Spoil func(answer []byte) []byte
}

// Serve answers until the line ends. The end of the line is a normal end.
func (s *Slave) Serve(line io.ReadWriter) error {
	defer s.waiting.Wait()
	var came []byte
	buf := make([]byte, 256)
	for number := 0; ; {
		n, err := line.Read(buf)
		for _, b := range buf[:n] {
			came = append(came, b)
			request, ok := modbus.ParseRequest(came[max(0, len(came)-requestBytes):])
			if !ok || request.Unit != s.Unit {
				continue
			}
			if err := s.answer(line, request, number, came[len(came)-requestBytes:]); err != nil {
				return err
			}
			came = came[:0]
			number++
		}
		if len(came) > len(buf) {
			came = slices.Clone(came[len(came)-requestBytes:])
		}
		switch {
		case err == io.EOF:
			return nil
		case err != nil:
			return err
		}
	}
}

// requestBytes is how long the frame of a request is.
const requestBytes = 8

func (s *Slave) answer(line io.Writer, r modbus.Request, number int, request []byte) error {
	var t SlaveTrouble
	if s.Trouble != nil {
		t = s.Trouble(number)
	}
	if t.Echo {
		if err := s.write(line, bytes.Clone(request)); err != nil {
			return err
		}
	}
	if t.Silent {
		return nil
	}
	said := s.frame(r, t)
	if t.Late == 0 {
		return s.write(line, said)
	}
	s.waiting.Go(func() {
		time.Sleep(t.Late)
		_ = s.write(line, said) // a line that has ended meanwhile is told by its reader
	})
	return nil
}

// frame returns what the slave sends.
func (s *Slave) frame(r modbus.Request, t SlaveTrouble) []byte {
	registers, exception := s.Image(r)
	if t.Exception != 0 {
		exception = t.Exception
	}
	if exception != 0 {
		return r.AppendException(nil, exception)
	}
	if t.Torn {
		registers = slices.Clone(registers)
		registers[len(registers)-1]++
	}
	said := r.AppendAnswer(nil, registers)
	if t.Spoil != nil {
		said = t.Spoil(said)
	}
	return slices.Concat(t.Before, said, t.After)
}

func (s *Slave) write(line io.Writer, p []byte) error {
	s.writing.Lock()
	defer s.writing.Unlock()
	_, err := line.Write(p)
	return err
}

// Memory is the registers of a slave by function and address.
type Memory map[uint8]map[uint16]uint16

// Image implements Slave.Image.
func (m Memory) Image(r modbus.Request) ([]uint16, modbus.Exception) {
	of, any := m[r.Function]
	if !any {
		return nil, modbus.IllegalFunction
	}
	registers := make([]uint16, r.Count)
	for k := range registers {
		x, there := of[r.Address+uint16(k)]
		if !there {
			return nil, modbus.IllegalAddress
		}
		registers[k] = x
	}
	return registers, 0
}

// Put sets registers from an address on.
func (m Memory) Put(function uint8, address uint16, registers ...uint16) {
	if m[function] == nil {
		m[function] = map[uint16]uint16{}
	}
	for k, x := range registers {
		m[function][address+uint16(k)] = x
	}
}

// Words returns a float as two registers.
func Words(x float64, lowFirst bool) (first, second uint16) {
	bits := math.Float32bits(float32(x))
	if lowFirst {
		return uint16(bits), uint16(bits >> 16)
	}
	return uint16(bits >> 16), uint16(bits)
}

// serve has the box answer on its port while the plan is laid, and until the last state
// of its registers has been read often enough to be believed.
func (r *registers) serve(ctx context.Context, line slaveLine, lay func() error) error {
	if err := line.SetReadDeadline(time.Time{}); err != nil {
		return err
	}
	slave := Slave{Unit: ModbusUnit, Image: r.image, Trouble: r.lost}
	ended := make(chan error, 1)
	go func() { ended <- slave.Serve(line) }()
	err := lay()
	if err == nil {
		err = r.drain(ctx)
	}
	if stop := line.SetReadDeadline(time.Unix(1, 0)); stop != nil {
		return errors.Join(err, stop)
	}
	if served := <-ended; !errors.Is(served, os.ErrDeadlineExceeded) {
		err = errors.Join(err, served)
	}
	return err
}

// drain returns when the last state has been read, or nobody asks for as long as is given.
func (r *registers) drain(ctx context.Context) error {
	r.mu.Lock()
	r.after = 0
	r.mu.Unlock()
	for limit := time.Now().Add(drainLimit); time.Now().Before(limit) && !r.readOften(); {
		if err := wait(ctx, drainEvery); err != nil {
			return err
		}
	}
	return nil
}
