package work

import (
	"fmt"
	"strings"

	"pedalogue/cmd/pedalogue/internal/store"
)

// A Difference is how a result differs from that of an earlier run which it takes the
// place of. The zero value is none.
type Difference struct {
	Added int `json:"added"` // what stands there now alone
	Gone  int `json:"gone"`  // what stood there before alone
	Moved int `json:"moved"` // what stands at another place
}

// String says it in words: "2 changes added, 1 moved".
func (d Difference) String() string {
	var words []string
	for _, w := range []struct {
		n    int
		what string
	}{{d.Added, "added"}, {d.Gone, "gone"}, {d.Moved, "moved"}} {
		switch {
		case w.n == 0:
		case len(words) > 0:
			words = append(words, fmt.Sprintf("%d %s", w.n, w.what))
		case w.n == 1:
			words = append(words, "1 change "+w.what)
		default:
			words = append(words, fmt.Sprintf("%d changes %s", w.n, w.what))
		}
	}
	return strings.Join(words, ", ")
}

// Compare tells how two lists differ of what stands where. Each item is WHERE and
// WHAT, with a blank between them. What is in both does not count; of the rest, what
// is the same but for its place has moved.
func Compare(before, now []string) Difference {
	there := map[string]int{}
	for _, item := range before {
		there[item]++
	}
	var fresh []string
	for _, item := range now {
		if there[item] > 0 {
			there[item]--
			continue
		}
		fresh = append(fresh, item)
	}
	left := map[string]int{} // by what it is
	var d Difference
	for item, n := range there {
		left[what(item)] += n
		d.Gone += n
	}
	for _, item := range fresh {
		if w := what(item); left[w] > 0 {
			left[w]--
			d.Gone--
			d.Moved++
		} else {
			d.Added++
		}
	}
	return d
}

func what(item string) string {
	_, w, _ := strings.Cut(item, " ")
	return w
}

// difference is how a report differs from that which stands at its place.
func (w *Work) difference(before store.Earlier, to store.Target, now Report) (Difference, error) {
	counts := before.Counts(to)
	if w.Compare == nil || counts == nil {
		return Difference{}, nil
	}
	return w.Compare(counts, now)
}
