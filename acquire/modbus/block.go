package modbus

import (
	"encoding/binary"
	"math"
)

// Layout is what register 0 of the block map holds.
const Layout = 0x0101

// BlockRegisters is how many registers the block map has, from address 0 on.
const BlockRegisters = 34

// Bits of the status register, the same as the flags of a frame of the binary link.
const (
	StatusOverrun = 1 << iota // samples were lost inside the box since the registers before
	StatusClipped             // a channel was at its end stop
)

// Block is what the registers of the block map say: sums over all samples since the boot.
type Block struct {
	Boot      uint16
	Seq       uint32 // of this state of the registers
	TickUS    uint64 // up to which the sums go
	Samples   uint32
	Energy    uint64 // mJ, of all samples
	Voltage   uint64 // uV*s
	Current   uint64 // uA*s
	ArcOn     uint32 // ms
	WireCount uint32
	Volts     float32 // V, as the box shows it
	Amperes   float32
	WireSpeed float32 // m/s; no number where it is not known
	Status    uint16
}

// Registers returns what a slave answers for the block map.
func (b Block) Registers() []uint16 {
	be := binary.BigEndian
	p := be.AppendUint16(make([]byte, 0, 2*BlockRegisters), Layout)
	p = be.AppendUint16(p, b.Boot)
	p = be.AppendUint32(p, b.Seq)
	p = be.AppendUint64(p, b.TickUS)
	p = be.AppendUint32(p, b.Samples)
	p = be.AppendUint64(p, b.Energy)
	p = be.AppendUint64(p, b.Voltage)
	p = be.AppendUint64(p, b.Current)
	p = be.AppendUint32(p, b.ArcOn)
	p = be.AppendUint32(p, b.WireCount)
	for _, x := range []float32{b.Volts, b.Amperes, b.WireSpeed} {
		p = be.AppendUint32(p, math.Float32bits(x))
	}
	p = be.AppendUint16(p, b.Status)
	p = be.AppendUint16(p, uint16(b.Seq))
	registers := make([]uint16, BlockRegisters)
	for k := range registers {
		registers[k] = be.Uint16(p[2*k:])
	}
	return registers
}

// maxTickUS keeps every tick, in ns, far inside an int64; it is 285 years.
const maxTickUS = 1 << 53

// readBlock reads the registers of the block map, or says what is wrong with them.
func readBlock(p []byte) (b Block, wrong Kind) {
	be := binary.BigEndian
	if len(p) != 2*BlockRegisters || be.Uint16(p) != Layout {
		return b, NotTheMap
	}
	b = Block{
		Boot: be.Uint16(p[2:]), Seq: be.Uint32(p[4:]), TickUS: be.Uint64(p[8:]),
		Samples: be.Uint32(p[16:]), Energy: be.Uint64(p[20:]), Voltage: be.Uint64(p[28:]), Current: be.Uint64(p[36:]),
		ArcOn: be.Uint32(p[44:]), WireCount: be.Uint32(p[48:]),
		Volts: readFloat(p[52:]), Amperes: readFloat(p[56:]), WireSpeed: readFloat(p[60:]), Status: be.Uint16(p[64:]),
	}
	switch {
	case be.Uint16(p[66:]) != uint16(b.Seq):
		return b, Torn
	case b.TickUS > maxTickUS:
		return b, BadValue
	}
	return b, 0
}

func readFloat(p []byte) float32 { return math.Float32frombits(binary.BigEndian.Uint32(p)) }
