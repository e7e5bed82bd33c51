package xmltext

import (
	"fmt"
	"strings"
	"testing"
)

// What is read although XML 1.0 forbids it; the numbers are its sections. The
// verdicts have been compared with those of xmllint, see TestOdditiesElsewhere.
var oddTable = []struct {
	text   string
	offset int // -1 where the text is well formed
	reason string
}{
	{`<a/>`, -1, "nothing odd"},
	{"<?xml version='1.0' encoding=\"UTF-8\" standalone='no' ?>\n<!DOCTYPE a PUBLIC '-//X' \"u\" [<!ENTITY x \"y\"><!-- ] --><?p ]?>\n]>\n<a b='1' c=\"2\"/>\n", -1, "all as it should be"},
	{`<!DOCTYPE a><a><?p q:r?></a>`, -1, "a colon in an instruction's content"},
	{`<!DOCTYPE a [<!ELEMENT a ANY><!ATTLIST a b CDATA "]>">]><a/>`, -1, "declarations"},
	{`<a x="1"y="2"/>`, 8, "3.1: no white space between attributes"},
	{`<?xml?><a/>`, 0, "2.8: no version"},
	{`<?xml version="1.0" standalone="no" encoding="UTF-8"?><a/>`, 0, "2.8: in another order"},
	{`<?xml version="1.0"encoding="UTF-8"?><a/>`, 0, "2.8: no white space"},
	{` <?xml version="1.0"?><a/>`, 1, "2.8: not at the start"},
	{`<a><?xml version="1.0"?></a>`, 3, "2.8: inside"},
	{`<?x"y?><a/>`, 0, "2.6: no white space after the name"},
	{`<?XML x?><a/>`, 0, "2.6: a name that is kept for later"},
	{"<?x \x01?><a/>", 0, "2.2: a control character"},
	{"<a><!--\x01--></a>", 3, "2.2: a control character"},
	{"<!DOCTYPE a [<!ENTITY x \"\x01\">]><a/>", 0, "2.2: a control character"},
	{`<!>><a/>`, 0, "no declaration"},
	{`<a><!b></a>`, 3, "2.8: none inside the root"},
	{`<!DOCTYPE a><!DOCTYPE a><a/>`, 12, "2.8: one is enough"},
	{`<a/><!DOCTYPE a>`, 4, "2.8: after the root"},
	{`<!DOCTYPE a [<<>>]><a/>`, 0, "no declarations"},
	{`<!DOCTYPE a ]]><a/>`, 0, "unbalanced"},
	{`<!DOCTYPE a [ ] [ ]><a/>`, 0, "two lists"},
	{`<!DOCTYPE a [><a/>`, 0, "an open list"},
	{"<a/>\ufeff", 4, "2.1: a byte order mark behind"},
	{`<a>&#xD834;</a>`, 3, "4.1: half a character"},
}

func TestOddities(t *testing.T) {
	for _, tt := range oddTable {
		s := NewScanner(ctx, []byte(tt.text), 9)
		e, err := s.Root()
		if err == nil {
			err = s.Skip(e)
		}
		if err == nil {
			err = s.Finish()
		}
		odd := s.Oddities()
		switch {
		case tt.offset < 0 && len(odd) > 0:
			t.Errorf("%q: %+v, want none: %s", tt.text, odd, tt.reason)
		case tt.offset >= 0 && (err != nil || len(odd) != 1 || odd[0].Offset != tt.offset || odd[0].Count != 1 || odd[0].Text == ""):
			t.Errorf("%q: %+v, %v, want one at %d: %s", tt.text, odd, err, tt.offset, tt.reason)
		}
	}
}

// Several of a kind are one entry, which counts them.
func TestOdditiesCounted(t *testing.T) {
	s := NewScanner(ctx, []byte("<a>"+strings.Repeat(`<b x="1"y="2"z="3"/>`, 10)+"<!--\x01--></a>"), 9)
	e, err := s.Root()
	if err != nil || s.Skip(e) != nil {
		t.Fatal(err)
	}
	if got := fmt.Sprint(len(s.Oddities()), s.Oddities()[0].Count); got != "2 20" {
		t.Errorf("%s: %+v", got, s.Oddities())
	}
}
