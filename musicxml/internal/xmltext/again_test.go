package xmltext

import (
	"slices"
	"strings"
	"testing"
)

// tokens are all tokens of a text; those that follow each other make up the text.
func tokens(t *testing.T, text string) []Token {
	t.Helper()
	var list []Token
	end := 0
	for token, err := range Tokens(ctx, []byte(text)) {
		if err != nil {
			t.Fatalf("%q: %v", text, err)
		}
		if token.Start != end && (token.Kind != EndTag || token.End != end) {
			t.Fatalf("%q: token %+v follows byte %d", text, token, end)
		}
		end = token.End
		list = append(list, token)
	}
	if end != len(text) {
		t.Fatalf("%q ends at byte %d", text, end)
	}
	return list
}

func TestTokens(t *testing.T) {
	const text = `<?a <!--1--> ?><!DOCTYPE s [<!--2--> <!ENTITY e "<!--3-->">]><s a="&lt;!--4-->" b='>'><!--5--><![CDATA[<!--6-->]]>` +
		"<!--7-->&lt;!--8--&gt;<t/></s><!--9-->\n"
	var got []string
	for _, token := range tokens(t, text) {
		if token.Kind == Comment {
			got = append(got, text[token.Start:token.End])
		}
	}
	if want := []string{"<!--5-->", "<!--7-->", "<!--9-->"}; !slices.Equal(got, want) {
		t.Errorf("comments %q, want %q", got, want)
	}
	var depths []int
	for _, token := range tokens(t, "<a>x<b/><c>y<!--z--></c></a> ") {
		depths = append(depths, token.Depth)
	}
	//                 <a> x <b/>  <c> y <!> </c></a>
	if want := []int{0, 1, 1, 1, 1, 2, 2, 1, 0, 0}; !slices.Equal(depths, want) {
		t.Errorf("depths %d, want %d", depths, want)
	}
	for range Tokens(ctx, []byte(text)) {
		break // stopping early must not go on
	}
	last := error(nil)
	for _, err := range Tokens(ctx, []byte("<a><b></a>")) {
		last = err
	}
	if last == nil {
		t.Error("no error comes last")
	}
}

// What stands after a declaration is found wherever the declaration is taken to
// end.
func TestCommentsAfterDeclarations(t *testing.T) {
	for _, tt := range []struct{ declaration, why string }{
		{`<!DOCTYPE s [<!ENTITY two "2">]>`, "as it should be"},
		{`<!DOCTIPE s[s [<!ENTITY two "2">]>`, "a bracket is only a character"},
		{`<!DOCTYPE s ]]>`, "likewise"},
		{`<!DOCTYPE s <a <b> > >`, "what is opened is closed"},
		{`<!DOCTYPE s '>' "]>'">`, "quotation marks hide it"},
		{`<!DOCTYPE s [<!--'>[--> <!ENTITY e "<!--">]>`, "comments hide it, but not in quotation marks"},
		{`<!>>`, "the first character is part of it"},
		{`<!DOCTYPE s [<?a b?>]>`, "an instruction is to be closed, as other declarations in it"},
	} {
		text := tt.declaration + "<s><!--here--></s>"
		var got []string
		for _, token := range tokens(t, text) {
			if token.Kind == Comment {
				got = append(got, text[token.Start:token.End])
			}
		}
		if !slices.Equal(got, []string{"<!--here-->"}) {
			t.Errorf("%s: comments %q (%s)", text, got, tt.why)
		}
	}
}

func TestElements(t *testing.T) {
	const text = `<!DOCTYPE s [<!ENTITY e "x">]><m:s xmlns:m="u" xmlns:n="u"><m:a p="1">&e;<n:b/></m:a><m:c><m:d>y</m:d><m:d/></m:c><o:f xmlns:o="v">z</o:f></m:s>`
	at := func(piece string) int { return strings.Index(text, piece) }
	for _, tt := range []struct {
		starts []int
		want   []string
		why    string
	}{
		{[]int{at("<m:a")}, []string{"a[{p 1}]{x} (b)"}, "with the entities and namespaces of the document"},
		{[]int{at("<m:d/>"), at("<m:d>")}, []string{"d", "d{y}"}, "in any order, and one after the other"},
		{[]int{at("<m:c"), at("<m:d/>")}, []string{"c (d{y}) (d)", ""}, "one inside another goes with it"},
		{[]int{at("<m:s")}, []string{"s[{xmlns:m u} {xmlns:n u}] (a[{p 1}]{x} (b)) (c (d{y}) (d)) ([{xmlns:o v}]{z})"}, "the root itself"},
		{[]int{at("<o:f")}, []string{"[{xmlns:o v}]{z}"}, "a foreign one has no name"},
		{[]int{at("y<"), 0, 1000}, []string{"", "", ""}, "where no element begins"},
		{nil, nil, "none"},
	} {
		found, err := Elements(ctx, []byte(text), tt.starts)
		if err != nil {
			t.Fatal(err)
		}
		var got []string
		for _, start := range tt.starts {
			e := found[start]
			if e == nil {
				got = append(got, "")
				continue
			}
			if e.Start != start || text[e.Content-1] != '>' || text[e.Close] != '<' || text[e.End-1] != '>' {
				t.Errorf("%s lies at %d, %d, %d, %d", e.Name, e.Start, e.Content, e.Close, e.End)
			}
			got = append(got, shape(e))
		}
		if !slices.Equal(got, tt.want) {
			t.Errorf("%q, want %q: %s", got, tt.want, tt.why)
		}
	}
	if _, err := Elements(ctx, []byte("<a><b>"), []int{3}); err == nil {
		t.Error("half an element is read")
	}
}

// Many elements live on beside each other.
func TestElementsMany(t *testing.T) {
	var b strings.Builder
	b.WriteString("<a>")
	var starts []int
	for range 3000 {
		b.WriteString("<skip><x/></skip>")
		starts = append(starts, b.Len())
		b.WriteString("<b c='d'><e>f</e></b>")
	}
	b.WriteString("</a>")
	found, err := Elements(ctx, []byte(b.String()), starts)
	if err != nil || len(found) != len(starts) {
		t.Fatalf("%d of %d, %v", len(found), len(starts), err)
	}
	for _, e := range found {
		if got := shape(e); got != "b[{c d}] (e{f})" {
			t.Fatalf("%s", got)
		}
	}
}

func TestTagName(t *testing.T) {
	for tag, want := range map[string]string{
		"<measure number='1'/>": "measure", "<m:part\n>": "m:part", "<a/>": "a", "<a>": "a", "<": "", "": "",
	} {
		if got := TagName(tag); got != want {
			t.Errorf("%q: %q, want %q", tag, got, want)
		}
	}
}
