package musicxml

import (
	"bytes"
	"fmt"
	"math"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"unicode/utf16"
	"unicode/utf8"

	"golang.org/x/text/encoding/charmap"
	"golang.org/x/text/encoding/ianaindex"

	"pedalogue/musicxml/internal/xmltext"
)

// An Encoding says how the characters of a score document are stored.
type Encoding struct {
	Name     string // what the bytes are: "UTF-8", "UTF-16LE", "UTF-16BE", "US-ASCII", "ISO-8859-1" or another name of the IANA registry
	BOM      bool   // does the document begin with a byte order mark
	Declared string // what the XML declaration says, as written; "" if it says nothing
	Newline  string // "lf", "crlf" or "cr": what ends most lines; "lf" where there is only one
}

// Byte order marks.
const (
	bomUTF8    = "\xef\xbb\xbf"
	bomUTF16LE = "\xff\xfe"
	bomUTF16BE = "\xfe\xff"
)

// Encodings of more than one byte for an ASCII character, as [wideForm] names
// them.
const (
	utf16LE = "UTF-16LE"
	utf16BE = "UTF-16BE"
	utf32   = "UTF-32"
	ebcdic  = "EBCDIC"
)

const (
	utf8Name  = "UTF-8"
	asciiName = "US-ASCII"
)

// wideForm tells by the first bytes, as in appendix F of the XML
// recommendation, that src is written in one of the encodings in which not even
// "<" is the byte of ASCII; else "".
func wideForm(src []byte) string {
	starts := func(s string) bool { return bytes.HasPrefix(src, []byte(s)) }
	switch {
	case starts("\x00\x00\xfe\xff"), starts("\xff\xfe\x00\x00"), starts("\x00\x00\x00<"), starts("<\x00\x00\x00"):
		return utf32
	case starts(bomUTF16LE):
		return utf16LE
	case starts(bomUTF16BE):
		return utf16BE
	case starts("\x4c\x6f\xa7\x94"): // "<?xm"
		return ebcdic
	}
	if len(src) >= 4 {
		switch {
		case src[0] == '<' && src[1] == 0 && src[2] != 0 && src[3] == 0:
			return utf16LE
		case src[0] == 0 && src[1] == '<' && src[2] == 0 && src[3] != 0:
			return utf16BE
		}
	}
	return ""
}

// declarationLength is how far an XML declaration is looked into, in
// characters.
const declarationLength = 1024

var declaration = regexp.MustCompile(`^<\?xml(?:\s[^>]*?)?\sencoding\s*=\s*(?:"([^"]*)"|'([^']*)')`)

// declaredEncoding returns the encoding that the XML declaration names, or "".
// src has no byte order mark; wide is the result of wideForm.
func declaredEncoding(src []byte, wide string) string {
	switch wide {
	case utf16LE:
		src = everySecond(src)
	case utf16BE:
		src = everySecond(src[min(1, len(src)):])
	}
	m := declaration.FindSubmatch(src[:min(len(src), declarationLength)])
	if m == nil {
		return ""
	}
	return string(m[1]) + string(m[2])
}

func everySecond(src []byte) []byte {
	var low []byte
	for i := 0; i < len(src) && len(low) < declarationLength; i += 2 {
		low = append(low, src[i])
	}
	return low
}

// decode sets Text, Encoding and what Splice needs from Source. A byte order
// mark decides, then the declaration, then UTF-8.
func (d *Document) decode(what string, lim Limits) error {
	wide := wideForm(d.Source)
	mark := ""
	for _, m := range []string{bomUTF8, bomUTF16LE, bomUTF16BE} {
		if wide != utf32 && bytes.HasPrefix(d.Source, []byte(m)) {
			mark = m
		}
	}
	body := d.Source[len(mark):]
	d.bom = len(mark)
	d.Encoding = Encoding{BOM: mark != "", Declared: declaredEncoding(body, wide)}
	if err := d.chooseCodec(wide, mark, body); err != nil {
		return err
	}
	size, bad := d.codec.textLen(body)
	if bad >= 0 {
		return d.badBytes(body, bad)
	}
	if int64(size) > lim.Bytes {
		return tooLarge(what, lim.Bytes)
	}
	d.Text = d.codec.text(body, size)
	if nul := bytes.IndexByte(d.Text, 0); nul >= 0 {
		e := fault("the file is damaged; get it again from where it came", "a NUL byte, which no XML document can hold")
		e.Line = xmltext.Line(d.Text, nul)
		return e
	}
	d.Encoding.Newline = dominantNewline(d.Text)
	if _, single := d.codec.(*byteCodec); single && hasHighBytes(body) && utf8.Valid(body) {
		d.warn("encoding-doubtful", fmt.Sprintf("the file says %s and is read so, but its bytes would also be good UTF-8", d.Encoding.Declared))
	}
	return nil
}

// chooseCodec sets Encoding.Name and the codec.
func (d *Document) chooseCodec(wide, mark string, body []byte) error {
	declared := d.Encoding.Declared
	const convert = "save the file as UTF-8 and try again"
	switch {
	case wide == utf32 || wide == ebcdic:
		return fault(convert, "the file is written in %s, which is not read", wide)
	case wide != "":
		if declared != "" && !isUTF16(declared, wide) {
			if mark == "" {
				return fault(convert, "the XML declaration says encoding %q, but the bytes are %s without a byte order mark", declared, wide)
			}
			d.warnDeclared(wide)
		}
		d.Encoding.Name, d.codec = wide, utf16Codec{big: wide == utf16BE}
		return nil
	case mark == bomUTF8:
		if declared != "" && !isUTF8(declared) {
			d.warnDeclared(utf8Name)
		}
	case declared != "" && !isUTF8(declared):
		return d.chooseDeclared(declared, body)
	}
	d.Encoding.Name, d.codec = utf8Name, utf8Codec{}
	return nil
}

// chooseDeclared takes the encoding that the declaration names, which is not
// UTF-8, for bytes in which ASCII characters are single bytes.
func (d *Document) chooseDeclared(declared string, body []byte) error {
	name, table, known := singleByte(declared)
	if known {
		d.Encoding.Name, d.codec = name, newByteCodec(table)
		return nil
	}
	if takesMoreBytes(declared) {
		what, hint := "single bytes", "save the file as UTF-8 and try again"
		if utf8.Valid(body) {
			what = "plain UTF-8"
			hint = fmt.Sprintf("write encoding=\"UTF-8\" instead of encoding=%q in the first line, or save the file as UTF-8", declared)
		}
		return &Error{Line: 1, Hint: hint,
			Err: fmt.Errorf("the XML declaration says encoding %q, but the bytes are %s", declared, what)}
	}
	return &Error{Line: 1, Hint: "save the file as UTF-8 and try again",
		Err: fmt.Errorf("the encoding %q, which the XML declaration names, is not read", declared)}
}

func (d *Document) warnDeclared(is string) {
	d.warn("encoding-doubtful", fmt.Sprintf("the byte order mark says %s, the XML declaration %q; read as %s", is, d.Encoding.Declared, is))
}

// badBytes is the error for bytes that are no character of the encoding.
func (d *Document) badBytes(body []byte, bad int) error {
	// Everything before them can be decoded, so the line can be told.
	head := body[:bad]
	size, _ := d.codec.textLen(head)
	line := xmltext.Line(d.codec.text(head, size), math.MaxInt)
	name := d.Encoding.Name
	if name == utf16LE || name == utf16BE {
		return &Error{Line: line, Err: fmt.Errorf("half a character: the text is not good %s", name),
			Hint: "the file is damaged or cut short; get it again from where it came"}
	}
	hint := fmt.Sprintf("if the file is not %s, name its encoding in the first line, or save it as UTF-8", name)
	said := "says nothing else, so it has to be"
	if d.Encoding.BOM || d.Encoding.Declared != "" {
		said = "says it is"
	}
	return &Error{Line: line, Hint: hint,
		Err: fmt.Errorf("the file %s %s, but the byte 0x%02X here is no character of it", said, name, body[bad])}
}

// plainName reduces spellings that programs use to one: "Utf8", "UTF_8" and
// "UTF-8" are "utf8".
func plainName(name string) string {
	return strings.NewReplacer("-", "", "_", "", " ", "", ":", "").Replace(strings.ToLower(name))
}

func isUTF8(name string) bool {
	p := plainName(name)
	return p == "utf8" || p == "unicode11utf8" || p == "csutf8"
}

// isUTF16 tells whether a declaration of this name agrees with text in the form
// utf16LE or utf16BE.
func isUTF16(name, form string) bool {
	switch p := plainName(name); p {
	case "utf16", "csutf16", "ucs2", "iso10646ucs2", "csunicode", "unicode":
		return true
	default:
		return p == plainName(form) || p == "cs"+plainName(form)
	}
}

// takesMoreBytes tells whether in this encoding a "<" could not be the one byte
// that it is in ASCII, so that a declaration that can be read as ASCII
// contradicts itself.
func takesMoreBytes(name string) bool {
	if isUTF16(name, utf16LE) || isUTF16(name, utf16BE) {
		return true
	}
	switch plainName(name) {
	case "utf32", "utf32le", "utf32be", "ucs4", "iso10646ucs4", "csucs4":
		return true
	}
	enc, err := ianaindex.IANA.Encoding(name)
	table, ok := enc.(*charmap.Charmap)
	return err == nil && ok && !keepsASCII(table)
}

// singleByte finds the code page of that name: its MIME name, and the table,
// which is nil for US-ASCII.
func singleByte(name string) (string, *charmap.Charmap, bool) {
	p := plainName(name)
	if rest, ok := strings.CutPrefix(p, "iso8859"); ok && isNumber(rest) {
		name = "ISO-8859-" + rest // "ISO8859_1" is common and not registered
	}
	if rest, ok := strings.CutPrefix(p, "cp125"); ok && isNumber(rest) {
		name = "windows-125" + rest
	}
	enc, err := ianaindex.MIME.Encoding(name)
	if err != nil || enc == nil {
		return "", nil, false
	}
	mime, err := ianaindex.MIME.Name(enc)
	if err != nil {
		return "", nil, false
	}
	if mime == asciiName {
		return mime, nil, true
	}
	table, ok := enc.(*charmap.Charmap)
	if !ok || !keepsASCII(table) {
		return "", nil, false
	}
	return mime, table, true
}

func isNumber(s string) bool {
	_, err := strconv.ParseUint(s, 10, 8)
	return err == nil
}

// keepsASCII tells whether the characters of ASCII have their own codes.
func keepsASCII(table *charmap.Charmap) bool {
	for b := range 0x80 {
		if table.DecodeByte(byte(b)) != rune(b) {
			return false
		}
	}
	return true
}

func hasHighBytes(src []byte) bool {
	return slices.ContainsFunc(src, func(b byte) bool { return b >= utf8.RuneSelf })
}

// A codec decodes the bytes of a score document, places text in them, and
// encodes what is put in.
type codec interface {
	// textLen returns the length of src as UTF-8, and the offset in src of the
	// first byte that is no character, or -1.
	textLen(src []byte) (size, bad int)
	// text returns src as UTF-8; size is what textLen said, without fault.
	text(src []byte, size int) []byte
	// sourceLen returns how many bytes a piece of decoded text has in the source.
	sourceLen(text []byte) int
	// appendText appends s; a character that the encoding lacks becomes a
	// decimal character reference.
	appendText(dst []byte, s string) []byte
}

type utf8Codec struct{}

func (utf8Codec) textLen(src []byte) (int, int) {
	if utf8.Valid(src) {
		return len(src), -1
	}
	for i := 0; i < len(src); {
		r, n := utf8.DecodeRune(src[i:])
		if r == utf8.RuneError && n == 1 {
			return 0, i
		}
		i += n
	}
	return len(src), -1
}

func (utf8Codec) text(src []byte, _ int) []byte          { return src }
func (utf8Codec) sourceLen(text []byte) int              { return len(text) }
func (utf8Codec) appendText(dst []byte, s string) []byte { return append(dst, s...) }

type utf16Codec struct{ big bool }

func (c utf16Codec) unit(src []byte, i int) rune {
	if c.big {
		return rune(src[i])<<8 | rune(src[i+1])
	}
	return rune(src[i+1])<<8 | rune(src[i])
}

// next returns the character at i and the offset after it, which is i if there
// is no whole character.
func (c utf16Codec) next(src []byte, i int) (rune, int) {
	if i+2 > len(src) {
		return utf8.RuneError, i
	}
	r := c.unit(src, i)
	if !utf16.IsSurrogate(r) {
		return r, i + 2
	}
	if i+4 > len(src) {
		return utf8.RuneError, i
	}
	if r = utf16.DecodeRune(r, c.unit(src, i+2)); r == utf8.RuneError {
		return r, i
	}
	return r, i + 4
}

func (c utf16Codec) textLen(src []byte) (int, int) {
	size := 0
	for i := 0; i < len(src); {
		r, next := c.next(src, i)
		if next == i {
			return 0, i
		}
		size += utf8.RuneLen(r)
		i = next
	}
	return size, -1
}

func (c utf16Codec) text(src []byte, size int) []byte {
	dst := make([]byte, 0, size)
	for i := 0; i < len(src); {
		var r rune
		r, i = c.next(src, i)
		dst = utf8.AppendRune(dst, r)
	}
	return dst
}

func (utf16Codec) sourceLen(text []byte) int {
	n := 0
	for _, b := range text {
		if utf8.RuneStart(b) {
			n += 2
		}
		if b >= 0xF0 { // begins a character outside the basic plane
			n += 2
		}
	}
	return n
}

func (c utf16Codec) appendText(dst []byte, s string) []byte {
	for _, u := range utf16.Encode([]rune(s)) {
		if c.big {
			dst = append(dst, byte(u>>8), byte(u))
		} else {
			dst = append(dst, byte(u), byte(u>>8))
		}
	}
	return dst
}

// byteCodec is a code page: one byte, one character.
type byteCodec struct {
	table *charmap.Charmap // nil for US-ASCII
	runes [256]rune        // utf8.RuneError where there is no character
}

func newByteCodec(table *charmap.Charmap) *byteCodec {
	c := &byteCodec{table: table}
	for b := range c.runes {
		switch {
		case b < utf8.RuneSelf:
			c.runes[b] = rune(b)
		case table != nil:
			c.runes[b] = table.DecodeByte(byte(b))
		default:
			c.runes[b] = utf8.RuneError
		}
	}
	return c
}

func (c *byteCodec) textLen(src []byte) (int, int) {
	size := 0
	for i, b := range src {
		r := c.runes[b]
		if r == utf8.RuneError {
			return 0, i
		}
		size += utf8.RuneLen(r)
	}
	return size, -1
}

func (c *byteCodec) text(src []byte, size int) []byte {
	if size == len(src) {
		return src // nothing but ASCII
	}
	dst := make([]byte, 0, size)
	for _, b := range src {
		dst = utf8.AppendRune(dst, c.runes[b])
	}
	return dst
}

func (*byteCodec) sourceLen(text []byte) int { return utf8.RuneCount(text) }

func (c *byteCodec) appendText(dst []byte, s string) []byte {
	for _, r := range s {
		if b, ok := c.encode(r); ok {
			dst = append(dst, b)
			continue
		}
		dst = append(dst, "&#"...)
		dst = strconv.AppendInt(dst, int64(r), 10)
		dst = append(dst, ';')
	}
	return dst
}

func (c *byteCodec) encode(r rune) (byte, bool) {
	if r < utf8.RuneSelf {
		return byte(r), true
	}
	if c.table == nil {
		return 0, false
	}
	return c.table.EncodeRune(r)
}
