package musicxml

import (
	"context"
	"encoding/base64"
	"fmt"
	"hash/crc32"
	"net/url"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"unicode/utf8"

	"pedalogue/musicxml/internal/xmltext"
)

// What stands in the comments around our changes. The one in front has
// attributes, as a tag would have them:
//
//	sum      a checksum of what is between the comments: see [summer]
//	was      in base64 the text that it takes the place of, where it does
//	options  in the first comment of a score, what the caller wants to find again
//	of       "reduction" around a note that is left out, or a text about what else is
//	         done to notes: what stands there is silent, and stays when marks are made anew
//	string   with of="reduction" and nothing between the comments: the letter of the string
//	         on which the note behind them is played
//
// The first version had none of them: "pedalogue:begin" alone, or with a space and
// base64 behind it.
const (
	ownComment   = "pedalogue:"
	beginComment = ownComment + "begin"
	endComment   = ownComment + "end"

	openMark  = "<!--" + beginComment
	closeMark = "<!--" + endComment + "-->"
)

// wrapped puts our comments around a text, with white space beside them.
func wrapped(before, text, after string) string {
	return openMark + ` sum="` + textSum(text) + `"-->` + before + text + after + closeMark
}

// Replacing returns the edit that puts a text in the place of Text[start:end]
// so that [Document.Strip] brings the old text back. The text, which may be "",
// must be well-formed by itself.
func (d *Document) Replacing(start, end int, text string) Edit {
	was := base64.StdEncoding.EncodeToString(d.Text[start:end])
	return Edit{Start: start, End: end, New: openMark + ` sum="` + textSum(text) + `" was="` + was + `"-->` + text + closeMark}
}

// WithOptions returns the edits with a text in the first of our comments, where
// [Document.Strip] finds it again. The edits must be those of one document;
// without any of ours among them they are returned as they are.
func WithOptions(edits []Edit, options string) []Edit {
	first := -1
	for i, e := range edits {
		if strings.HasPrefix(e.New, openMark+" ") && (first < 0 || e.Start < edits[first].Start || e.Start == edits[first].Start && e.End < edits[first].End) {
			first = i
		}
	}
	if first < 0 {
		return edits
	}
	edits = slices.Clone(edits)
	e := &edits[first]
	e.New = openMark + ` options="` + commentText(options) + `"` + strings.TrimPrefix(e.New, openMark)
	return edits
}

// commentText writes a text so that it can stand in a value in a comment, in any
// encoding: what cannot is a percent sign and two hexadecimal digits a byte.
func commentText(text string) string {
	var b strings.Builder
	for i := range len(text) {
		c := text[i]
		if c < ' ' || c > '~' || strings.IndexByte(`%"<>&`, c) >= 0 || c == '-' && (i == 0 || text[i-1] == '-') {
			fmt.Fprintf(&b, "%%%02X", c)
			continue
		}
		b.WriteByte(c)
	}
	return b.String()
}

// An opening is the content of one of our comments that begins something.
type opening struct {
	first    bool // of the first version, without a checksum
	sum      uint32
	replaced bool
	was      string // the text that was replaced
	options  string

	reduction bool // what is inside stays when marks are made anew
	letter    byte // of the string for the note behind; 0 for none
}

var openingAttributes = regexp.MustCompile(` ([a-z]+)="([^"]*)"`)

// parseOpening reads what stands in a comment behind "begin"; ok is false if it
// is nothing that we write.
func parseOpening(text string) (o opening, ok bool) {
	if text == "" {
		return opening{first: true}, true
	}
	if !strings.Contains(text, `"`) {
		o.first = true
		o.was, o.replaced, ok = decodeWas(strings.TrimPrefix(text, " "))
		return o, ok && text[0] == ' '
	}
	if openingAttributes.ReplaceAllString(text, "") != "" {
		return o, false
	}
	summed := false
	for _, m := range openingAttributes.FindAllStringSubmatch(text, -1) {
		ok := false
		switch name, value := m[1], m[2]; name {
		case "sum":
			n, err := strconv.ParseUint(value, 16, 32)
			o.sum, summed, ok = uint32(n), true, err == nil && len(value) == 8
		case "was":
			o.was, o.replaced, ok = decodeWas(value)
		case "of":
			o.reduction, ok = true, value == "reduction"
		case "string":
			if ok = len(value) == 1 && value[0] >= 'A' && value[0] <= 'G'; ok {
				o.letter = value[0]
			}
		case "options":
			var err error
			o.options, err = url.PathUnescape(value)
			ok = err == nil
		}
		if !ok {
			return o, false
		}
	}
	return o, summed
}

func decodeWas(code string) (was string, replaced, ok bool) {
	text, err := base64.StdEncoding.Strict().DecodeString(code)
	return string(text), true, err == nil && utf8.Valid(text)
}

// A summer makes a checksum of what a piece of a document says: of its tags with
// their attributes in the order of their names, of its text, and of its comments
// and instructions. White space counts as one space between words and as nothing
// elsewhere, so that a piece may be indented anew, or come back from another
// encoding with references in it, and is still the same.
type summer struct {
	sum  uint32
	text strings.Builder
}

func (s *summer) take(t xmltext.Token, raw []byte) {
	switch t.Kind {
	case xmltext.CharData:
		s.text.WriteString(t.Data)
		return
	case xmltext.StartTag:
		s.flush()
		attributes := slices.Clone(t.Attrs)
		slices.SortFunc(attributes, func(a, b xmltext.Attribute) int { return strings.Compare(a.Name, b.Name) })
		s.add("<" + t.Name)
		for _, a := range attributes {
			s.add(" " + a.Name + "=" + strconv.Quote(a.Value))
		}
		s.add(">")
	case xmltext.EndTag:
		s.flush()
		s.add("</" + t.Name + ">")
	default:
		s.flush()
		s.add(string(raw[t.Start:t.End]))
	}
}

func (s *summer) flush() {
	if words := strings.Fields(s.text.String()); len(words) > 0 {
		s.add("=" + strings.Join(words, " "))
	}
	s.text.Reset()
}

func (s *summer) add(text string) { s.sum = crc32.Update(s.sum, crc32.IEEETable, []byte(text)) }

// done returns the checksum of what was taken.
func (s *summer) done() uint32 {
	s.flush()
	return s.sum
}

// textSum is the checksum of a text that is about to be written, as it stands in
// a comment.
func textSum(text string) string {
	var s summer
	for t, err := range xmltext.Tokens(context.Background(), []byte(text)) {
		if err != nil {
			break // it will never be what we wrote, and stays
		}
		s.take(t, []byte(text))
	}
	return fmt.Sprintf("%08x", s.done())
}
