package work

import (
	"bytes"
	"encoding/json"
	"html"
	"strings"

	"pedalogue/cmd/pedalogue/internal/runs"
	"pedalogue/report/plain"
)

// WithGiven returns a JSON document, indented or on one line, with the options that
// came from a file as its last key, "config"; as it is if there were none.
func WithGiven(doc []byte, given runs.Given) []byte {
	body, indented := bytes.CutSuffix(doc, []byte("\n}\n"))
	line, one := bytes.CutSuffix(doc, []byte("}\n"))
	if len(given.Options) == 0 || !indented && !one {
		return doc
	}
	var text bytes.Buffer
	e := json.NewEncoder(&text)
	e.SetEscapeHTML(false)
	if err := e.Encode(given); err != nil {
		return doc // strings can always be encoded
	}
	value := bytes.TrimSpace(text.Bytes())
	if indented {
		return bytes.Join([][]byte{body, []byte(",\n  \"config\": "), value, []byte("\n}\n")}, nil)
	}
	return bytes.Join([][]byte{line, []byte(`,"config":`), value, []byte("}\n")}, nil)
}

// givenWords say which options came from a file; "" for none.
func givenWords(given runs.Given) string {
	if len(given.Options) == 0 {
		return ""
	}
	return plain.Line("options from " + given.File + ": " + strings.Join(given.Options, ", "))
}

// givenInPage puts the same at the end of a page.
func givenInPage(page []byte, given runs.Given) []byte {
	words := givenWords(given)
	at := bytes.LastIndex(page, []byte("</main>"))
	if words == "" || at < 0 {
		return page
	}
	note := []byte(`<p class="legend">` + html.EscapeString(strings.ToUpper(words[:1])+words[1:]) + "</p>\n")
	return bytes.Join([][]byte{page[:at], note, page[at:]}, nil)
}
