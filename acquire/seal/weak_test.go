package seal

import (
	"crypto/ed25519"
	"encoding/hex"
	"math/big"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"
)

// signedBy puts a key and a signature of ed25519 into the form of a seal's.
func signedBy(p Public, raw []byte) []byte {
	b := append([]byte(magic), 0, 0, 0, version)
	b = text(b, p.blob())
	for _, field := range []string{Namespace, "", hashName} {
		b = text(b, []byte(field))
	}
	return text(b, text(text(nil, []byte(keyType)), raw))
}

// With a key of small order one signature fits every text, and crypto/ed25519 takes it: who has no
// key at all would seal with it.
func TestVerify_AKeyWithWhichAnybodySigns(t *testing.T) {
	one := make([]byte, 32)
	one[0] = 1
	other, err := hex.DecodeString("eeffffffffffffffffffffffffffffffffffffffffffffffffffffffffffff7f") // one and 2^255 - 19
	require.NoError(t, err)
	raw := append(slices.Clone(one), make([]byte, 32)...)
	for _, key := range [][]byte{one, other} {
		for _, message := range []string{"a", "b"} {
			require.True(t, ed25519.Verify(key, signed([]byte(message)), raw), "it can be done")
			_, err := Verify([]byte(message), signedBy(Public(key), raw))
			require.ErrorContains(t, err, "a key with which anybody can sign")
		}
	}
	for _, y := range append(weak, "edffffffffffffffffffffffffffffffffffffffffffffffffffffffffffff7f", "ffffffffffffffffffffffffffffffffffffffffffffffffffffffffffffff7f") {
		b, err := hex.DecodeString(y)
		require.NoError(t, err)
		require.True(t, Public(b).isWeak(), y)
		b[31] |= 0x80
		require.True(t, Public(b).isWeak(), y)
		b[30]--
		require.False(t, Public(b).isWeak(), y)
	}
	k, err := Folder(t.TempDir()).Machine()
	require.NoError(t, err)
	require.False(t, k.Public().isWeak())
}

// The weak points are those whose double is one whose double is ... the zero of the curve
// -x^2 + y^2 = 1 + d*x^2*y^2: RFC 8032, 5.1. With y alone, doubled:
//
//	y' = (y^2 + x^2) / (2 + x^2 - y^2), x^2 = (y^2 - 1) / (d*y^2 + 1)
func TestVerify_TheWeakPointsAreAll(t *testing.T) {
	prime := new(big.Int).Sub(new(big.Int).Lsh(big.NewInt(1), 255), big.NewInt(19))
	mod := func(x *big.Int) *big.Int { return x.Mod(x, prime) }
	over := func(a, b *big.Int) *big.Int { return mod(new(big.Int).Mul(a, new(big.Int).ModInverse(b, prime))) }
	d := over(big.NewInt(-121665), big.NewInt(121666))
	doubled := func(y *big.Int) *big.Int {
		y2 := mod(new(big.Int).Mul(y, y))
		x2 := over(new(big.Int).Sub(y2, big.NewInt(1)), mod(new(big.Int).Add(new(big.Int).Mul(d, y2), big.NewInt(1))))
		return over(new(big.Int).Add(y2, x2), mod(new(big.Int).Sub(new(big.Int).Add(big.NewInt(2), x2), y2)))
	}
	orders := map[int]int{}
	for _, text := range weak {
		b, err := hex.DecodeString(text)
		require.NoError(t, err)
		slices.Reverse(b)
		y, n := new(big.Int).SetBytes(b), 1
		for ; y.Cmp(big.NewInt(1)) != 0; n *= 2 {
			require.LessOrEqual(t, n, 4, text)
			y = doubled(y)
		}
		orders[n]++
	}
	require.Equal(t, map[int]int{1: 1, 2: 1, 4: 1, 8: 2}, orders) // 4 and 8 with either sign of x: eight points
}
