// Package near finds what somebody may have meant who typed something else.
package near

import (
	"strings"
	"unicode/utf8"
)

// Word is the one of words that one may have meant who typed another: the one that takes
// the fewest letters put in, left out, changed or swapped, if these are few, or the
// first that begins so, or with which what was typed begins; "" for none. Case does not count.
func Word(typed string, words []string) string {
	typed = strings.ToLower(typed)
	best, least := "", 1+max(1, min(3, utf8.RuneCountInString(typed)/3))
	for _, word := range words {
		if d := Distance(typed, strings.ToLower(word)); d < least {
			best, least = word, d
		}
	}
	if best == "" && len(typed) >= 2 {
		for _, word := range words {
			if w := strings.ToLower(word); strings.HasPrefix(w, typed) || len(w) >= 2 && strings.HasPrefix(typed, w) {
				return word
			}
		}
	}
	return best
}

// Distance counts the letters put in, left out, changed or swapped with the next
// between two words, each at most once (optimal string alignment).
func Distance(a, b string) int {
	x, y := []rune(a), []rune(b)
	rows := make([][]int, len(x)+1)
	for i := range rows {
		rows[i] = make([]int, len(y)+1)
		rows[i][0] = i
	}
	for j := range y {
		rows[0][j+1] = j + 1
	}
	for i := 1; i <= len(x); i++ {
		for j := 1; j <= len(y); j++ {
			changed := 0
			if x[i-1] != y[j-1] {
				changed = 1
			}
			rows[i][j] = min(rows[i-1][j]+1, rows[i][j-1]+1, rows[i-1][j-1]+changed)
			if i > 1 && j > 1 && x[i-1] == y[j-2] && x[i-2] == y[j-1] {
				rows[i][j] = min(rows[i][j], rows[i-2][j-2]+1)
			}
		}
	}
	return rows[len(x)][len(y)]
}
