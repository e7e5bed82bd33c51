package opening

import (
	"reflect"
	"strings"
	"testing"

	"pedalogue/musicxml"
)

// Every limit of the reader that a file can go beyond has its option in the hint.
func TestLimitHints(t *testing.T) {
	for field, hint := range limitHints {
		if _, ok := reflect.TypeFor[musicxml.Limits]().FieldByName(field); !ok {
			t.Errorf("there is no limit %s", field)
		}
		if got := Explained(&musicxml.Error{Limit: field}).Hint; got != hint || !strings.Contains(got, "--max-") {
			t.Errorf("%s: %q", field, got)
		}
	}
	if got := Explained(&musicxml.Error{Limit: "Bytes", Hint: "own"}).Hint; got != "own" {
		t.Errorf("%q hides the error's own hint", got)
	}
}
