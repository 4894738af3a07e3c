package codec

// Bits packs booleans, eight to a byte, the first in the lowest bit.
func (p *Packer) Bits(which uint8, flags []bool) {
	raw := p.room(which, Bits, (len(flags)+7)/8)
	clear(raw)
	for k, set := range flags {
		if set {
			raw[k/8] |= 1 << (k % 8)
		}
	}
}

// Bits appends the booleans of a column to dst.
func (c Column) Bits(dst []bool) ([]bool, error) {
	if err := c.exactly(Bits, (c.n+7)/8); err != nil {
		return dst, err
	}
	for k := range c.n {
		dst = append(dst, c.raw[k/8]>>(k%8)&1 == 1)
	}
	return dst, nil
}

// Bytes packs bytes as they are.
func (p *Packer) Bytes(which uint8, b []uint8) { copy(p.room(which, Bytes, len(b)), b) }

// Bytes appends the bytes of a column to dst.
func (c Column) Bytes(dst []uint8) ([]uint8, error) {
	if err := c.exactly(Bytes, c.n); err != nil {
		return dst, err
	}
	return append(dst, c.raw...), nil
}
