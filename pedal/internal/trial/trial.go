// Package trial tells tests how much they try.
package trial

import (
	"os"
	"testing"
)

// Size is how much a test tries: few in short tests, some usually, and all with
// PEDALOGUE_WHOLE set, which is for after a change of what is tried.
func Size[T any](few, some, all T) T {
	switch {
	case testing.Short():
		return few
	case os.Getenv("PEDALOGUE_WHOLE") == "":
		return some
	}
	return all
}
