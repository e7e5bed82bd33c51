// Package beat writes the numbers of beats as players read them, and takes what it wrote
// apart:
//
//	beat.Text(big.NewRat(5, 2))    // "2½"
//	beat.Text(big.NewRat(11, 7))   // "1⁴⁄₇"
//	beat.Plain("1⁴⁄₇")             // "1 4/7"
package beat

import (
	"math/big"
	"regexp"
	"strings"

	"golang.org/x/text/unicode/norm"
)

// signs are the signs of Unicode for fractions, by the fraction: "1/2" is "½".
var signs = func() map[string]string {
	all := map[string]string{}
	for _, r := range "½⅓⅔¼¾⅕⅖⅗⅘⅙⅚⅐⅛⅜⅝⅞⅑⅒" {
		all[plain(string(r))] = string(r)
	}
	return all
}()

// Text writes a number from 0 up. Its fraction stands close behind the whole, as one sign
// if Unicode has one, else in small figures. The number is not changed.
func Text(n *big.Rat) string {
	whole := new(big.Int).Div(n.Num(), n.Denom())
	rest := new(big.Rat).Sub(n, new(big.Rat).SetInt(whole))
	if rest.Sign() == 0 {
		return whole.String()
	}
	sign, ok := signs[rest.RatString()]
	if !ok {
		sign = figures(rest.Num(), "⁰¹²³⁴⁵⁶⁷⁸⁹") + "⁄" + figures(rest.Denom(), "₀₁₂₃₄₅₆₇₈₉")
	}
	if whole.Sign() == 0 {
		return sign
	}
	return whole.String() + sign
}

// figures writes a number in other figures.
func figures(n *big.Int, of string) string {
	list := []rune(of)
	return strings.Map(func(r rune) rune { return list[r-'0'] }, n.String())
}

// fraction finds what Text writes for one.
var fraction = regexp.MustCompile(`[⁰¹²³⁴-⁹]+⁄[₀-₉]+|[¼½¾⅐-⅞]`)

// Plain writes all fractions of a text in usual figures, parted from what stands before
// them by a space.
func Plain(text string) string {
	return fraction.ReplaceAllStringFunc(text, func(f string) string { return " " + plain(f) })
}

func plain(fraction string) string { return strings.ReplaceAll(norm.NFKC.String(fraction), "⁄", "/") }
