package runs

import (
	"errors"
	"math/big"
	"strings"
)

var errSize = errors.New("a size is a number of bytes, or one with K, M or G, such as 512M")

// A ByteSize is an option of a size in bytes.
type ByteSize struct{ N *int64 }

func (b ByteSize) String() string { return "" }
func (b ByteSize) Type() string   { return "size" }
func (b ByteSize) Set(text string) error {
	number, unit := strings.ToUpper(text), int64(1)
	for i, suffix := range []string{"K", "M", "G"} {
		if cut, ok := strings.CutSuffix(number, suffix); ok {
			number, unit = cut, 1<<(10*(i+1))
			break
		}
	}
	size, ok := new(big.Rat).SetString(number)
	if !ok || strings.ContainsAny(number, "/EPXO_+") {
		return errSize
	}
	size.Mul(size, new(big.Rat).SetInt64(unit))
	if !size.IsInt() || size.Sign() <= 0 || !size.Num().IsInt64() {
		return errSize
	}
	*b.N = size.Num().Int64()
	return nil
}
