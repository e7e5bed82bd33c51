package xmltext

import (
	"bytes"
	"os/exec"
	"testing"
)

// TestOdditiesElsewhere asks xmllint, where it is installed, whether a text is
// well formed: what it refuses is odd, or an error.
func TestOdditiesElsewhere(t *testing.T) {
	xmllint, err := exec.LookPath("xmllint")
	if err != nil {
		t.Skip("xmllint is not here")
	}
	for _, tt := range oddTable {
		cmd := exec.Command(xmllint, "--nonet", "--noout", "--noent", "-")
		cmd.Stdin = bytes.NewReader([]byte(tt.text))
		refused := cmd.Run() != nil
		_, err := lexed(tt.text)
		if odd := tt.offset >= 0 || err != nil; odd != refused {
			t.Errorf("%q: odd %v, refused by xmllint %v: %s", tt.text, odd, refused, tt.reason)
		}
	}
}
