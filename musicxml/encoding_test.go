package musicxml

import (
	"bytes"
	"fmt"
	"slices"
	"strings"
	"testing"
	"unicode/utf16"
)

// encoded writes text in UTF-16 without a mark.
func encoded(text string, big bool) string {
	var b []byte
	for _, u := range utf16.Encode([]rune(text)) {
		if big {
			b = append(b, byte(u>>8), byte(u))
		} else {
			b = append(b, byte(u), byte(u>>8))
		}
	}
	return string(b)
}

func declared(name string) string { return fmt.Sprintf(`<?xml version="1.0" encoding="%s"?>`, name) }

func TestEncoding(t *testing.T) {
	const body = "<a>Harpe à pédales</a>"
	latin := strings.NewReplacer("à", "\xe0", "é", "\xe9").Replace(body)
	for _, tt := range []struct {
		name, raw string
		want      string // encoding
		bom       bool
		declared  string
		warned    bool
		why       string
	}{
		{"nothing said", body, "UTF-8", false, "", false, "XML's default"},
		{"declared", declared("UTF-8") + body, "UTF-8", false, "UTF-8", false, "the usual file"},
		{"lower case", declared("utf-8") + body, "UTF-8", false, "utf-8", false, "case says nothing, but is reported as written"},
		{"not registered", declared("UTF8") + body, "UTF-8", false, "UTF8", false, "programs write it"},
		{"marked", bomUTF8 + body, "UTF-8", true, "", false, "a mark is allowed"},
		{"single quotes", "<?xml version='1.0' encoding='ISO-8859-1' standalone='no'?>" + latin, "ISO-8859-1", false, "ISO-8859-1", false, "XML allows both kinds"},
		{"spaces", "<?xml version = \"1.0\"\n encoding\t=\r\n\"latin1\" ?>" + latin, "ISO-8859-1", false, "latin1", false, "an alias, and white space where it may stand"},
		{"underscore", declared("ISO8859_1") + latin, "ISO-8859-1", false, "ISO8859_1", false, "a spelling of one programming language"},
		{"windows", declared("windows-1252") + "<a>\x84Harfe\x93</a>", "windows-1252", false, "windows-1252", false, "quotation marks in bytes that ISO-8859-1 has not"},
		{"cp1252", declared("cp1252") + latin, "windows-1252", false, "cp1252", false, "its other name"},
		{"Cyrillic", declared("KOI8-R") + "<a>\xe1\xd2\xc6\xc1</a>", "KOI8-R", false, "KOI8-R", false, "a code page of another script"},
		{"macintosh", declared("macintosh") + "<a>p\x8edale</a>", "macintosh", false, "macintosh", false, "old exports"},
		{"ascii", declared("US-ASCII") + "<a>harp</a>", "US-ASCII", false, "US-ASCII", false, "half of UTF-8"},
		{"little", bomUTF16LE + encoded(declared("UTF-16")+body, false), "UTF-16LE", true, "UTF-16", false, "the mark tells the order"},
		{"big", bomUTF16BE + encoded(declared("UTF-16")+body, true), "UTF-16BE", true, "UTF-16", false, "the mark tells the order"},
		{"little, nothing said", bomUTF16LE + encoded(body, false), "UTF-16LE", true, "", false, "a mark is enough"},
		{"little without mark", encoded(declared("UTF-16LE")+body, false), "UTF-16LE", false, "UTF-16LE", false, "XML 1.0, appendix F"},
		{"big without mark", encoded(declared("UTF-16")+body, true), "UTF-16BE", false, "UTF-16", false, "XML 1.0, appendix F"},
		{"no mark, no declaration", encoded(body, false), "UTF-16LE", false, "", false, "nothing else begins so"},
		{"the mark decides", bomUTF8 + declared("ISO-8859-1") + body, "UTF-8", true, "ISO-8859-1", true, "rule 2 of the reading cases"},
		{"the mark decides, wide", bomUTF16LE + encoded(declared("UTF-8")+body, false), "UTF-16LE", true, "UTF-8", true, "rule 2 of the reading cases"},
		{"the mark decides the order", bomUTF16BE + encoded(declared("UTF-16LE")+body, true), "UTF-16BE", true, "UTF-16LE", true, "rule 2 of the reading cases"},
		{"doubtful", declared("ISO-8859-1") + body, "ISO-8859-1", false, "ISO-8859-1", true, "read as told, and the user is told too"},
		{"in a comment", "<!-- " + declared("KOI8-R") + " -->" + body, "UTF-8", false, "", false, "a declaration stands at the very start"},
		{"in another attribute", `<?xml version="1.0"?><a encoding="KOI8-R"/>`, "UTF-8", false, "", false, "the declaration ends before"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			d, err := Open(ctx, "x", []byte(tt.raw), Limits{})
			if err != nil {
				t.Fatalf("%v (%s)", err, tt.why)
			}
			got := d.Encoding
			if got.Name != tt.want || got.BOM != tt.bom || got.Declared != tt.declared {
				t.Errorf("got %+v (%s)", got, tt.why)
			}
			if warned := slices.Contains(codes(d.Warnings), "encoding-doubtful"); warned != tt.warned {
				t.Errorf("warned %t (%s)", warned, tt.why)
			}
			if tt.name != "doubtful" && strings.Contains(tt.raw, "p\xe9") && !bytes.Contains(d.Text, []byte("pédales")) {
				t.Errorf("text %q", d.Text)
			}
			if bytes.Contains(d.Text, []byte("\uFEFF")) {
				t.Error("the mark is in the text")
			}
		})
	}
}

func TestEncodingErrors(t *testing.T) {
	for _, tt := range []struct{ name, raw, want, hint, why string }{
		{"UTF-16 in name only", declared("UTF-16") + "<a/>", `x:1: the XML declaration says encoding "UTF-16", but the bytes are plain UTF-8`, `encoding="UTF-8"`, "a file of this kind is in a public test collection"},
		{"the same in Latin-1", declared("UTF-16") + "<a>\xe9</a>", "but the bytes are single bytes", "save", "not UTF-8 either"},
		{"UTF-32 in name only", declared("UTF-32") + "<a/>", "the bytes are plain UTF-8", "", "the same with more bytes"},
		{"EBCDIC in name only", declared("IBM037") + "<a/>", "the bytes are plain UTF-8", "", "the declaration could not be read if it were true"},
		{"UTF-8 in name only", encoded(declared("UTF-8")+"<a/>", false), "the bytes are UTF-16LE without a byte order mark", "save", "the other way round"},
		{"wrong order", encoded(declared("UTF-16BE")+"<a/>", false), "the bytes are UTF-16LE", "save", "declared and no mark"},
		{"UTF-32", "\xff\xfe\x00\x00<\x00\x00\x00", "written in UTF-32", "save", "allowed by XML, not by us"},
		{"UTF-32 without mark", "\x00\x00\x00<\x00\x00\x00a", "written in UTF-32", "save", "XML 1.0, appendix F"},
		{"EBCDIC", "\x4c\x6f\xa7\x94\x93", "written in EBCDIC", "save", "XML 1.0, appendix F"},
		{"Shift_JIS", declared("Shift_JIS") + "<a/>", `the encoding "Shift_JIS", which the XML declaration names, is not read`, "save", "several bytes for a character"},
		{"unknown", declared("klingon") + "<a/>", `the encoding "klingon"`, "save", "no such encoding"},
		{"not UTF-8", "<a>\n\n<b>\xe9</b></a>", "x:3: the file says nothing else, so it has to be UTF-8, but the byte 0xE9", "name its encoding", "Latin-1 without a declaration"},
		{"not UTF-8, declared", declared("UTF-8") + "\r\n<a>\xe9</a>", "x:2: the file says it is UTF-8, but the byte 0xE9", "name its encoding", "Latin-1 with a wrong one"},
		{"overlong", "<a>\xc0\x80</a>", "the byte 0xC0", "", "a known way to smuggle characters"},
		{"surrogate", "<a>\xed\xa0\x80</a>", "the byte 0xED", "", "no character by itself"},
		{"cut", "<a>\xe2\x99", "the byte 0xE2", "", "the file ends inside a character"},
		{"not ASCII", declared("US-ASCII") + "\r<a>\xe9</a>", "x:2: the file says it is US-ASCII, but the byte 0xE9", "", "a lone carriage return ends a line"},
		{"hole in the code page", declared("windows-1253") + "<a>\xd2</a>", "it is windows-1253, but the byte 0xD2", "", "not every code is given away"},
		{"odd", bomUTF16LE + encoded("<a>\n</a>", false) + "x", "x:2: half a character", "cut short", "the file ends inside a character"},
		{"high alone", bomUTF16LE + encoded("<a>", false) + "\x00\xd8<\x00", "half a character: the text is not good UTF-16LE", "", "half a pair"},
		{"low alone", bomUTF16BE + encoded("<a>", true) + "\xdc\x00", "half a character", "", "the other half"},
		{"NUL, wide", bomUTF16LE + encoded("<a>\n\x00</a>", false), "x:2: a NUL byte", "damaged", "NUL in the decoded text"},
	} {
		_, err := Open(ctx, "x", []byte(tt.raw), Limits{})
		t.Run(tt.name, func(t *testing.T) { wantError(t, err, tt.want, tt.hint) })
	}
}

// writings are one text in every kind of encoding: what is asked for of all.
func writings(t *testing.T) map[string][]byte {
	t.Helper()
	// é and ß are in all the code pages here.
	text := "<a>\r\n <b>pédale</b>\r\n <c>groß</c>\r\n</a>"
	all := map[string][]byte{
		"UTF-8":         []byte(declared("UTF-8") + text),
		"UTF-8 marked":  []byte(bomUTF8 + text),
		"UTF-16LE":      []byte(bomUTF16LE + encoded(declared("UTF-16")+text, false)),
		"UTF-16BE":      []byte(bomUTF16BE + encoded(declared("UTF-16")+text, true)),
		"UTF-16LE bare": []byte(encoded(declared("UTF-16LE")+text, false)),
		"US-ASCII":      []byte(declared("US-ASCII") + strings.NewReplacer("é", "e", "ß", "ss").Replace(text)),
	}
	for _, name := range []string{"ISO-8859-1", "ISO-8859-2", "ISO-8859-15", "windows-1252", "windows-1250", "macintosh", "IBM850"} {
		_, table, ok := singleByte(name)
		if !ok {
			t.Fatalf("no code page %s", name)
		}
		raw, err := table.NewEncoder().String(text)
		if err != nil {
			t.Fatal(err)
		}
		all[name] = []byte(declared(name) + raw)
	}
	return all
}

func TestRoundTrip(t *testing.T) {
	for name, raw := range writings(t) {
		d, err := Open(ctx, "x", raw, Limits{})
		if err != nil {
			t.Errorf("%s: %v", name, err)
			continue
		}
		if got := d.codec.appendText(slices.Clone(raw[:d.bom]), string(d.Text)); !bytes.Equal(got, raw) {
			t.Errorf("%s: written again it is %q, was %q", name, got, raw)
		}
		if got := d.bom + d.codec.sourceLen(d.Text); got != len(raw) {
			t.Errorf("%s: length %d, want %d", name, got, len(raw))
		}
	}
}

func TestSpliceIntoEncodings(t *testing.T) {
	const put = "<words>E F♯ G A♭\nD C\U0001D12A B</words>" // sharp, flat, and a double sharp outside the basic plane
	for name, raw := range writings(t) {
		d, err := Open(ctx, "x", raw, Limits{})
		if err != nil {
			t.Errorf("%s: %v", name, err)
			continue
		}
		text := string(d.Text)
		before, after := strings.Index(text, "<b>"), strings.Index(text, " <c>")
		out, err := d.Splice(ctx, []Edit{{after, after, put}, {before, before, put}})
		if err != nil {
			t.Errorf("%s: %v", name, err)
			continue
		}
		got, err := Open(ctx, "x", out, Limits{})
		if err != nil {
			t.Errorf("%s: %v", name, err)
			continue
		}
		want := strings.ReplaceAll(put, "\n", "\r\n")
		if _, single := d.codec.(*byteCodec); single {
			want = strings.NewReplacer("♯", "&#9839;", "♭", "&#9837;", "\U0001D12A", "&#119082;").Replace(want)
		}
		if string(got.Text) != text[:before]+want+text[before:after]+want+text[after:] {
			t.Errorf("%s: %q", name, got.Text)
		}
		if got.Encoding != d.Encoding {
			t.Errorf("%s: encoding %+v, was %+v", name, got.Encoding, d.Encoding)
		}
		at := d.bom + d.codec.sourceLen(d.Text[:before])
		end := len(raw) - d.bom - d.codec.sourceLen(d.Text[:after])
		if !bytes.HasPrefix(out, raw[:at]) || !bytes.HasSuffix(out, raw[len(raw)-end:]) {
			t.Errorf("%s: bytes outside the edits have changed", name)
		}
	}
}

func TestCodePageWithoutASCII(t *testing.T) {
	if _, _, ok := singleByte("IBM037"); ok {
		t.Error("an EBCDIC code page is taken for one in which < is <")
	}
}
