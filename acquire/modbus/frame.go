package modbus

import "encoding/binary"

// MostRegisters is how many registers one request may ask for (Modbus V1.1b3, 6.3 and 6.4).
const MostRegisters = 125

// refused is the bit by which the function of an answer says that it is an exception.
const refused = 0x80

// Sizes of frames, in bytes.
const (
	requestSize   = 8 // unit, function, address, count, checksum
	exceptionSize = 5 // unit, function, exception, checksum
	headSize      = 3 // unit, function, bytes that follow
	checksumSize  = 2
	longestFrame  = 256
)

// checksums are those of one byte, of the polynomial 0x8005 with its bits reversed.
var checksums = func() (table [256]uint16) {
	for k := range table {
		sum := uint16(k)
		for range 8 {
			carry := sum & 1
			sum >>= 1
			if carry != 0 {
				sum ^= 0xA001
			}
		}
		table[k] = sum
	}
	return table
}()

// checksum returns the CRC-16 of Modbus, whose check value over "123456789" is 4B37.
func checksum(p []byte) uint16 {
	sum := uint16(0xFFFF)
	for _, b := range p {
		sum = sum>>8 ^ checksums[byte(sum)^b]
	}
	return sum
}

// seal appends the checksum of what stands in frame from start on, low byte first.
func seal(frame []byte, start int) []byte {
	return binary.LittleEndian.AppendUint16(frame, checksum(frame[start:]))
}

// sealed reports whether a frame ends with its checksum.
func sealed(frame []byte) bool {
	end := len(frame) - checksumSize
	return end > 0 && checksum(frame[:end]) == binary.LittleEndian.Uint16(frame[end:])
}

// Request asks a slave for registers in a row.
type Request struct {
	Unit     uint8
	Function uint8 // series.ReadHolding or series.ReadInput
	Address  uint16
	Count    uint16
}

// Append appends the frame of the request.
func (r Request) Append(dst []byte) []byte {
	start := len(dst)
	dst = append(dst, r.Unit, r.Function)
	dst = binary.BigEndian.AppendUint16(dst, r.Address)
	dst = binary.BigEndian.AppendUint16(dst, r.Count)
	return seal(dst, start)
}

// ParseRequest reads the frame of a request; ok is false where it is none.
func ParseRequest(frame []byte) (r Request, ok bool) {
	if len(frame) != requestSize || !sealed(frame) {
		return r, false
	}
	return Request{
		Unit: frame[0], Function: frame[1],
		Address: binary.BigEndian.Uint16(frame[2:]), Count: binary.BigEndian.Uint16(frame[4:]),
	}, true
}

// AppendAnswer appends the frame by which a slave answers with registers.
func (r Request) AppendAnswer(dst []byte, registers []uint16) []byte {
	start := len(dst)
	dst = append(dst, r.Unit, r.Function, uint8(2*len(registers)))
	for _, x := range registers {
		dst = binary.BigEndian.AppendUint16(dst, x)
	}
	return seal(dst, start)
}

// AppendException appends the frame by which a slave refuses.
func (r Request) AppendException(dst []byte, e Exception) []byte {
	start := len(dst)
	return seal(append(dst, r.Unit, r.Function|refused, uint8(e)), start)
}

// answerSize is how long the answer with registers is.
func (r Request) answerSize() int { return headSize + 2*int(r.Count) + checksumSize }

// answer is what a slave said to a request.
type answer struct {
	registers []byte // big-endian; nil where it refused
	exception Exception
}

// find looks for the first answer to the request in what came, and returns where it
// ends; ok is false where there is none.
func (r Request) find(came []byte) (a answer, end int, ok bool) {
	for at := range came {
		if a, end, ok = r.begins(came[at:]); ok {
			return a, at + end, true
		}
	}
	return answer{}, 0, false
}

// begins reads the answer with which came begins.
func (r Request) begins(came []byte) (a answer, end int, ok bool) {
	if len(came) < exceptionSize || came[0] != r.Unit {
		return a, 0, false
	}
	switch size := r.answerSize(); {
	case came[1] == r.Function && int(came[2]) == 2*int(r.Count) && len(came) >= size && sealed(came[:size]):
		return answer{registers: came[headSize : size-checksumSize]}, size, true
	case came[1] == r.Function|refused && came[2] != 0 && sealed(came[:exceptionSize]):
		return answer{exception: Exception(came[2])}, exceptionSize, true
	}
	return a, 0, false
}
