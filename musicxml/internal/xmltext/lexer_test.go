package xmltext

import (
	"archive/zip"
	"encoding/xml"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"unicode/utf8"
)

// A plainToken is a token as a lexer and encoding/xml both can say it.
type plainToken struct {
	kind       Kind
	start, end int
	name, data string
	attrs      string
}

// lexed returns the tokens of a text up to its end or first fault.
func lexed(text string) (tokens []plainToken, err error) {
	l := lexer{ctx: ctx, text: text, depth: 1 << 30}
	for {
		kind, err := l.next()
		if err != nil || kind == EndOfText {
			return tokens, err
		}
		t := plainToken{kind: kind, start: l.start, end: l.pos}
		switch kind {
		case CharData:
			t.data = l.data
		case EndTag:
			t.name = l.name
		case StartTag:
			t.name, t.attrs = l.name, fmt.Sprintf("%q", l.attrs)
		}
		tokens = append(tokens, t)
	}
}

// errStricter marks what encoding/xml accepts and a lexer does not.
var errStricter = errors.New("accepted by encoding/xml")

// decoded returns the same from encoding/xml: its strict Token gives the
// verdict, its RawToken the names as they stand in the text.
func decoded(text string) (tokens []plainToken, err error) {
	strict, raw := newDecoder(text), newDecoder(text)
	depth, rooted, ended := 0, false, plainToken{}
	for {
		start := int(raw.InputOffset())
		_, err := strict.Token()
		if errors.Is(err, io.EOF) {
			return tokens, nil
		}
		if err != nil {
			return tokens, err
		}
		t, err := raw.RawToken()
		if err != nil {
			return tokens, fmt.Errorf("RawToken alone objects: %w", err)
		}
		p := plainToken{start: start, end: int(raw.InputOffset())}
		switch t := t.(type) {
		case xml.StartElement:
			var attrs []Attribute
			seen := map[xml.Name]bool{}
			for _, a := range t.Attr {
				if seen[a.Name] {
					return tokens, errStricter
				}
				seen[a.Name] = true
				attrs = append(attrs, Attribute{rawName(a.Name), a.Value})
			}
			if depth == 0 && rooted {
				return tokens, errStricter
			}
			rooted = true
			depth++
			p.kind, p.name, p.attrs = StartTag, rawName(t.Name), fmt.Sprintf("%q", attrs)
			ended = p
		case xml.EndElement:
			depth--
			p.kind, p.name = EndTag, rawName(t.Name)
			if p.start == p.end {
				p.start = ended.start // of an element without content
			}
		case xml.CharData:
			p.kind, p.data = CharData, string(t)
			if depth == 0 && strings.Trim(p.data, " \t\r\n\ufeff") != "" {
				return tokens, errStricter
			}
		case xml.Directive:
			l := lexer{entities: strict.Entity}
			l.declareEntities(string(t))
			strict.Entity, raw.Entity = l.entities, l.entities
			continue
		default:
			continue
		}
		tokens = append(tokens, p)
	}
}

func rawName(n xml.Name) string {
	if n.Space == "" {
		return n.Local
	}
	return n.Space + ":" + n.Local
}

// compareLexer checks that both say the same of a text.
func compareLexer(t *testing.T, text string) (wellFormed bool) {
	t.Helper()
	got, gotErr := lexed(text)
	if instructionInside(text) {
		return gotErr == nil // encoding/xml counts the ">" in it
	}
	want, wantErr := decoded(text)
	if (gotErr == nil) != (wantErr == nil) {
		t.Fatalf("%q\nverdict %v\nencoding/xml %v", text, gotErr, wantErr)
	}
	var placed *Error
	if gotErr != nil && (!errors.As(gotErr, &placed) || placed.Offset < 0 || placed.Offset > len(text)) {
		t.Fatalf("%q: error without a place in the text: %#v", text, gotErr)
	}
	for i := range max(len(got), len(want)) {
		if i >= len(got) || i >= len(want) || got[i] != want[i] {
			t.Fatalf("%q\ntokens       %+v\nencoding/xml %+v\nfrom token %d on\n%v\n%v", text, got, want, i, gotErr, wantErr)
		}
	}
	return gotErr == nil
}

// instructionInside reports whether a declaration of a text has a processing
// instruction in it.
func instructionInside(text string) bool {
	l := lexer{ctx: ctx, text: text, depth: 1 << 30, all: true}
	for {
		kind, err := l.next()
		end := l.pos
		if err != nil {
			end = len(text)
		}
		switch {
		case (err != nil || kind == Declaration) && strings.HasPrefix(text[l.start:], "<!") && strings.Contains(text[l.start:end], "<?"):
			return true
		case err != nil || kind == EndOfText:
			return false
		}
	}
}

// The verdicts are those of XML 1.0 where nothing else is said; the numbers are
// its sections. "lenient" marks what XML forbids and encoding/xml accepts.
var lexerTable = []struct {
	text   string
	good   bool
	reason string
}{
	{`<a/>`, true, "an element without content"},
	{`<a />`, true, "white space before the end"},
	{"<a\r\n\t/>", true, "any white space"},
	{`<a/ >`, false, "no white space inside />"},
	{`<a>`, false, "3.1: no end tag"},
	{`<a></a>`, true, "an empty pair"},
	{`<a></a >`, true, "3.1: white space after the name"},
	{`<a></ a>`, false, "3.1: none before it"},
	{`<a></a x="1">`, false, "an end tag has no attributes"},
	{`<a></b>`, false, "another name"},
	{`<a></A>`, false, "names tell capitals apart"},
	{`<a></aa>`, false, "a longer name"},
	{`<aa></a>`, false, "a shorter name"},
	{`<a><b></a></b>`, false, "crossed"},
	{`</a>`, false, "nothing is open"},
	{`<a/></a>`, false, "closed already"},
	{`<a/><b/>`, false, "2.1: one root; encoding/xml accepts this"},
	{`<a/>x`, false, "2.1: text after the root; encoding/xml accepts this"},
	{`x<a/>`, false, "2.1: text before the root; encoding/xml accepts this"},
	{`<a/><![CDATA[x]]>`, false, "a CDATA section is text"},
	{"\ufeff<a/>\n", true, "a byte order mark and a line end"},
	{"<a/>\x00", false, "a NUL"},
	{`<a/><!-- x --><?y z?> `, true, "2.1: comments and instructions may follow"},
	{``, true, "no element at all is for the reader to reject"},
	{`<`, false, "cut after <"},
	{`<a`, false, "cut in a name"},
	{`<a x`, false, "cut in an attribute"},
	{`<a x=`, false, "cut before a value"},
	{`<a x="`, false, "cut in a value"},
	{`<a x="1"`, false, "cut in a tag"},
	{`<a/`, false, "cut before >"},
	{`</`, false, "cut in an end tag"},
	{`<a></a`, false, "cut at the last byte"},
	{`<!`, false, "cut in a declaration"},
	{`<!-`, false, "cut before a comment"},
	{`<!--x--`, false, "cut at the end of a comment"},
	{`<a><![CDATA[x]]`, false, "cut in a CDATA section"},
	{`<a><![CDA`, false, "cut at its beginning"},
	{`<a>&am`, false, "cut in a reference"},
	{`<a>&#1`, false, "cut in a number"},
	{`<?x`, false, "cut in an instruction"},
	{`<!DOCTYPE a`, false, "cut in the DOCTYPE"},
	{`<!DOCTYPE a [<!-- `, false, "cut in a comment in it"},
	{`<1/>`, false, "2.3: a digit does not begin a name"},
	{`<-a/>`, false, "nor a hyphen"},
	{`<.a/>`, false, "nor a full stop"},
	{`<_a/>`, true, "an underscore does"},
	{`<a.b-c_1/>`, true, "all may follow"},
	{`< a/>`, false, "no white space before a name"},
	{`<>`, false, "no name"},
	{`<a<b/>`, false, "no end of the tag"},
	{`<p:a xmlns:p="u"></p:a>`, true, "a prefix"},
	{`<p:a></p:a>`, true, "one that is not declared: well formed, though not with namespaces"},
	{`<p:a></a>`, false, "the prefix is part of the name"},
	{`<p:q:a/>`, false, "two colons"},
	{`<:a></:a>`, true, "a colon at the start, lenient"},
	{`<a:></a:>`, true, "a colon at the end, lenient"},
	{`<été></été>`, true, "2.3: letters beyond ASCII"},
	{`<×/>`, false, "a sign that is no letter"},
	{`<a·b/>`, true, "a middle dot inside a name"},
	{`<·a/>`, false, "not at its start"},
	{"<a\u2028/>", false, "a line separator is no white space"},
	{"<\U00010400/>", false, "names beyond the basic plane are of a later edition"},
	{`<a x="1"/>`, true, "an attribute"},
	{`<a x='1'/>`, true, "with single quotation marks"},
	{`<a x='"' y="'"/>`, true, "the other kind inside"},
	{`<a x = "1"/>`, true, "2.3: white space around ="},
	{"<a x\n=\t\"1\"/>", true, "any"},
	{`<a x="1"y="2"/>`, true, "none between attributes, lenient"},
	{`<a x=1/>`, false, "3.1: no quotation marks"},
	{`<a x/>`, false, "no value"},
	{`<a x="1' />`, false, "different quotation marks"},
	{`<a ="1"/>`, false, "no name"},
	{`<a x=="1"/>`, false, "= twice"},
	{`<a x="<"/>`, false, "3.1: < in a value"},
	{`<a x="&lt;"/>`, true, "the reference to it"},
	{`<a x=">"/>`, true, "> may stand in a value"},
	{`<a x="]]>"/>`, true, "and so may this"},
	{`<a x="&"/>`, false, "a bare &"},
	{"<a x=\"1\r\n2\"/>", true, "a line end in a value"},
	{"<a x=\"\x01\"/>", false, "2.2: a control character in a value"},
	{`<a x="1" x="2"/>`, false, "3.1: twice; encoding/xml accepts this"},
	{`<a x="1" p:x="2"/>`, true, "another prefix is another name"},
	{`<a a="" b="" c="" d="" e="" f="" g="" h="" i="" j="" k="" l="" m="" n="" o="" p="" q="" r="" b=""/>`, false, "twice among many"},
	{`<a a="" b="" c="" d="" e="" f="" g="" h="" i="" j="" k="" l="" m="" n="" o="" p="" q="" r="" s=""/>`, true, "many"},
	{`<a>]]></a>`, false, "2.4: ]]> in text"},
	{`<a>]]&gt;</a>`, true, "the way to write it"},
	{`<a>] ]> ]]]</a>`, true, "others like it"},
	{`<a>]]]></a>`, false, "with one more"},
	{`<a>]]<!---->></a>`, true, "a comment parts it"},
	{`<a>></a>`, true, "> alone may stand in text"},
	{"<a>1\r2\r\n3\n\r4</a>", true, "2.11: line ends"},
	{"<a>\r&#10;\r&#13;\n</a>", true, "references are no line ends"},
	{"<a>\x0b</a>", false, "2.2: a control character"},
	{"<a>\x7f\u0085</a>", true, "2.2: these are allowed"},
	{"<a>\ufffe</a>", false, "2.2: not a character"},
	{"<a>\uffff</a>", false, "2.2: not a character"},
	{"<a>\ufffd\U0010ffff\uf000\uff01</a>", true, "2.2: characters near them"},
	{`<a>&#65;&#x41;&#x1D11E;</a>`, true, "4.1: numbers"},
	{`<a>&#X41;</a>`, false, "4.1: a capital X"},
	{`<a>&#;</a>`, false, "no number"},
	{`<a>&#x;</a>`, false, "no number"},
	{`<a>&#4a;</a>`, false, "not decimal"},
	{`<a>&#65</a>`, false, "no semicolon"},
	{`<a>&#0;</a>`, false, "2.2: not a character"},
	{`<a>&#xFFFE;</a>`, false, "2.2: not a character"},
	{`<a>&#xD834;</a>`, true, "half a pair becomes U+FFFD, lenient"},
	{`<a>&#x110000;</a>`, false, "beyond Unicode"},
	{`<a>&#x10FFFF;</a>`, true, "the last one"},
	{`<a>&#99999999999999999999;</a>`, false, "far beyond"},
	{`<a>&#000000000000000000000000065;</a>`, true, "leading zeros"},
	{`<a>&lt;&gt;&amp;&apos;&quot;</a>`, true, "4.6: the five"},
	{`<a>&LT;</a>`, false, "they are small"},
	{`<a>&lt</a>`, false, "no semicolon"},
	{`<a>& </a>`, false, "a bare &"},
	{`<a>&;</a>`, false, "no name"},
	{`<a>&nbsp;</a>`, false, "one of HTML, not declared"},
	{`<a>&amp;lt;</a>`, true, "replaced once"},
	{`<!DOCTYPE a [<!ENTITY x "y">]><a b="&x;">&x;</a>`, true, "4.4: a declared one"},
	{`<!DOCTYPE a [<!ENTITY x "&#60;b>">]><a>&x;</a>`, false, "one with a reference inside is not read"},
	{`<!DOCTYPE a [<!ENTITY x SYSTEM "y">]><a>&x;</a>`, false, "nor one outside the file"},
	{"<!DOCTYPE a [<!ENTITY x \"\x01\">]><a>&x;</a>", false, "one with a control character"},
	{"<!DOCTYPE a [<!ENTITY x \"\x01\">]><a/>", true, "one that is not used, lenient"},
	{`<!DOCTYPE a [<!ENTITY 1 "y">]><a>&1;</a>`, false, "no name"},
	{`<!DOCTYPE a [<!ENTITY é "y">]><a>&é;</a>`, true, "a name beyond ASCII"},
	{`<!DOCTYPE a [<!ENTITY x:y:z "y">]><a>&x:y:z;</a>`, true, "colons in an entity's name"},
	{`<!DOCTYPE a [<!ENTITY x "]]"><!ENTITY y "]">]><a>&x;></a>`, true, "what a reference stands for is not markup"},
	{`<!DOCTYPE a><a/>`, true, "2.8: the shortest"},
	{`<!DOCTYPE a PUBLIC "x>" '<y'><a/>`, true, "> and < in quotation marks"},
	{`<!DOCTYPE a [<!ELEMENT a (b)><!-- > ' --><?x >?>]><a/>`, true, "2.8: a > in an instruction inside"},
	{`<!DOCTYPE a [<?x ]> <a> ?><!-- ]> <a> --><!ENTITY b "]>">]><a/>`, true, "2.8: the end of the DOCTYPE in each of them"},
	{`<!DOCTYPE a [<?x ]><a/>`, false, "an instruction without an end"},
	{`<!DOCTYPE a [<!ELEMENT a (b)><!-- > ' "-- -->]><a/>`, true, "a comment inside"},
	{`<!DOCTYPE a [<!ATTLIST a b CDATA "'">]><a/>`, true, "one quotation mark in the other"},
	{`<!><a/>`, false, "the > is the first byte of a declaration and does not close it"},
	{`<!>><a/>`, true, "lenient"},
	{`<!"><a/>`, true, "lenient: nor does a quotation mark there begin anything"},
	{`<a><!b></a>`, true, "a declaration in the root, lenient"},
	{`<!DOCTYPE a [<<>>]><a/>`, true, "anything balanced, lenient"},
	{`<!-- a - b --><a/>`, true, "2.5: single hyphens"},
	{`<!-- a -- b --><a/>`, false, "2.5: two"},
	{`<!----><a/>`, true, "an empty one"},
	{`<!-----><a/>`, false, "a hyphen before the end"},
	{`<!--->--><a/>`, true, "> alone does not end it"},
	{`<!- x --><a/>`, false, "one hyphen"},
	{"<!--\x01\ufffe--><a/>", true, "any character, lenient"},
	{`<a><![CDATA[<b>&]]></a>`, true, "2.7: markup inside is text"},
	{`<a><![CDATA[]]></a>`, true, "an empty one"},
	{`<a><![CDATA[]]]]></a>`, true, "brackets at its end"},
	{"<a><![CDATA[1\r2\r\n3]]></a>", true, "line ends in it"},
	{"<a><![CDATA[\x01]]></a>", false, "a control character in it"},
	{`<a><![cdata[x]]></a>`, false, "small letters"},
	{`<a><![ CDATA[x]]></a>`, false, "white space"},
	{`<a>x<![CDATA[y]]>z</a>`, true, "between text"},
	{`<?xml version="1.0"?><a/>`, true, "2.8: the declaration"},
	{`<?xml version='1.0' encoding="latin1" standalone="no"?><a/>`, true, "the text has been decoded already"},
	{`<?xml version="1.1"?><a/>`, false, "another version"},
	{`<?xml version = "1.1"?><a/>`, true, "encoding/xml does not see this one, lenient"},
	{`<?xml?><a/>`, true, "no version, lenient"},
	{` <?xml version="1.0"?><a/>`, true, "not at the start, lenient"},
	{`<a><?xml version="2.0"?></a>`, false, "another version, and not at the start"},
	{`<?x?><a/>`, true, "2.6: an instruction without content"},
	{`<?x ??><a/>`, true, "with a question mark at its end"},
	{`<?x > <a/>`, false, "without an end"},
	{`<? x?><a/>`, false, "without a name"},
	{`<?1?><a/>`, false, "with a number for a name"},
	{`<?x"y?><a/>`, true, "without white space, lenient"},
	{`<?p:q:r?><a/>`, true, "colons in its name, lenient"},
	{"<?x \x01?><a/>", true, "any character in it, lenient"},
}

func TestLexerVerdicts(t *testing.T) {
	for _, tt := range lexerTable {
		if got := compareLexer(t, tt.text); got != tt.good {
			_, err := lexed(tt.text)
			t.Errorf("%q: well formed %v (%v), want %v: %s", tt.text, got, err, tt.good, tt.reason)
		}
	}
}

// Every cut of a text is a text of its own.
func TestLexerCuts(t *testing.T) {
	const text = "\ufeff<?xml version=\"1.0\"?>\r\n<!DOCTYPE a [<!-- ' --><!ENTITY x \"é\">]>\n" +
		"<a b='1&amp;2' p:é=\"\r\n\">&x;&#233;<!-- c --><b/><![CDATA[]] >]]>\U0001D12A</a><?d e?>"
	for i := range len(text) + 1 {
		if utf8.ValidString(text[:i]) {
			compareLexer(t, text[:i])
		}
	}
}

// Every byte of a text replaced by every telling one.
func TestLexerChanges(t *testing.T) {
	const text = "<!DOCTYPE a [<!ENTITY x \"y\">]><a b='1&x;'>]]&#233;\r\n<!-- c --><b/><![CDATA[]]]></a>"
	for i := range len(text) {
		for _, c := range "<>/!?-[]&;#'\"= \r\nx1:\x01é\ufffe" {
			compareLexer(t, text[:i]+string(c)+text[i+1:])
		}
	}
}

func TestLexerScores(t *testing.T) {
	texts := sharedTexts(t)
	if testing.Short() {
		texts = texts[:10]
	}
	for _, text := range texts {
		compareLexer(t, text)
	}
}

// sharedTexts returns the documents of a collection of scores that lies beside
// the repository on some machines, as far as they are UTF-8 and of less than a
// megabyte; elsewhere it skips the test.
func sharedTexts(t *testing.T) []string {
	t.Helper()
	dir := filepath.Join("..", "..", "..", "..", "shared", "scores")
	if _, err := os.Stat(dir); err != nil {
		t.Skip("the collection of scores is not here")
	}
	var texts []string
	add := func(raw []byte) {
		if text := strings.TrimPrefix(string(raw), "\ufeff"); utf8.ValidString(text) && len(text) < 1<<20 {
			texts = append(texts, text)
		}
	}
	err := filepath.WalkDir(dir, func(path string, _ os.DirEntry, err error) error {
		switch filepath.Ext(path) {
		case ".musicxml", ".xml":
			raw, err := os.ReadFile(path)
			add(raw)
			return err
		case ".mxl":
			r, err := zip.OpenReader(path)
			if err != nil {
				return err
			}
			defer r.Close()
			for _, f := range r.File {
				if ext := filepath.Ext(f.Name); ext != ".xml" && ext != ".musicxml" {
					continue
				}
				raw, err := fs.ReadFile(r, f.Name)
				if err != nil {
					return err
				}
				add(raw)
			}
		}
		return err
	})
	if err != nil || len(texts) < 10 {
		t.Fatalf("%d texts, %v", len(texts), err)
	}
	return texts
}

func TestLexerMessages(t *testing.T) {
	for _, tt := range []struct {
		text   string
		offset int
		want   string
		reason string
	}{
		{"<a>\n<b>\n</a>", 8, "<b> is closed by </a>", "both tags are named"},
		{"<a><b>", 6, "the file ends inside <b>: it is cut short", "the innermost element"},
		{"<a b", 4, "the file ends in the middle of a tag or text: it is cut short", "cut short is said as such"},
		{"<a b=c/>", 5, "the value of the attribute b of <a> has no quotation marks", "element and attribute are named"},
		{"<a b='1' b='2'/>", 0, "<a> has the attribute b twice", "the attribute is named"},
		{"<a>Tom & Jerry</a>", 7, `an "&" that should be "&amp;"`, "the usual mistake is told"},
		{"<a>&eacute;</a>", 3, "the entity &eacute; is not declared", "the entity is named"},
		{"<a>\x01</a>", 3, "U+0001 is no character of XML", "the character is named"},
		{"<a><b></b></a>x", 14, "there is text outside the root element", "where it begins"},
		{"<a><!-- -- --></a>", 10, `a comment has "--" in it`, "where the comment breaks"},
		{"<a>\n</b></a>", 4, "<a> is closed by </b>", "at the wrong tag"},
		{`<?xml version="1.1"?><a/>`, 0, "version 1.0", "the version that is read"},
	} {
		_, err := lexed(tt.text)
		var placed *Error
		if !errors.As(err, &placed) || placed.Offset != tt.offset || !strings.Contains(err.Error(), tt.want) {
			t.Errorf("%q: %v at %+v, want %q at %d: %s", tt.text, err, placed, tt.want, tt.offset, tt.reason)
		}
	}
}

func TestLexerDepth(t *testing.T) {
	l := lexer{ctx: ctx, text: strings.Repeat("<a>", 4), depth: 3}
	for range 3 {
		if _, err := l.next(); err != nil {
			t.Fatal(err)
		}
	}
	_, err := l.next()
	var placed *Error
	var deep *DepthError
	if !errors.As(err, &placed) || !errors.As(err, &deep) || deep.Depth != 3 || placed.Offset != 9 {
		t.Errorf("a fourth element in three: %v", err)
	}
}

// FuzzLexer: whatever the text is, the lexer says what encoding/xml says.
func FuzzLexer(f *testing.F) {
	for _, tt := range lexerTable {
		f.Add(tt.text)
	}
	f.Fuzz(func(t *testing.T, text string) {
		if utf8.ValidString(text) {
			compareLexer(t, text)
		}
	})
}
