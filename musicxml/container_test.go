package musicxml

import (
	"archive/zip"
	"bytes"
	"fmt"
	"slices"
	"strings"
	"testing"

	"pedalogue/musicxml/internal/archive/archivetest"
)

type archived = archivetest.Entry

var (
	file   = archivetest.File
	stored = archivetest.Stored
	zipOf  = archivetest.Zip
)

// headed is an entry with any header.
func headed(h zip.FileHeader, content string) archived {
	return archived{FileHeader: h, Content: content}
}

func containerFor(rootfile string) archived {
	return file(containerName, `<?xml version="1.0" encoding="UTF-8"?>
<container><rootfiles>
<rootfile full-path="`+rootfile+`" media-type="application/vnd.recordare.musicxml+xml"/>
<rootfile full-path="other.pdf" media-type="application/pdf"/>
</rootfiles></container>`)
}

func TestFindScore(t *testing.T) {
	other := file("other.xml", "<score-partwise><!-- not this one --></score-partwise>")
	for _, tt := range []struct {
		name    string
		entries []archived
		want    string
		warning string
		why     string
	}{
		{"usual", []archived{containerFor("score.xml"), file("score.xml", smallScore)}, "score.xml", "", "as programs write it"},
		{"not the first", []archived{other, file("score.xml", smallScore), containerFor("score.xml")}, "score.xml", "", "container.xml decides, wherever it stands"},
		{"in a folder", []archived{containerFor("a/b.xml"), other, file("a/b.xml", smallScore)}, "a/b.xml", "", "a path"},
		{"no score name", []archived{containerFor("data"), file("data", smallScore)}, "data", "", "the content decides"},
		{"backslash", []archived{containerFor(`a\b.xml`), file("a/b.xml", smallScore)}, "a/b.xml", "path-separator", "written on one system"},
		{"backslash in both", []archived{containerFor(`a\b.xml`), file(`a\b.xml`, smallScore)}, `a\b.xml`, "", "the name as written comes first"},
		{"backslash in the entry", []archived{containerFor("a/b.xml"), file(`a\b.xml`, smallScore)}, `a\b.xml`, "path-separator", "the other way round"},
		{"backslash and case", []archived{containerFor(`A\b.xml`), file("a/b.xml", smallScore)}, "a/b.xml", "path-separator", "two differences"},
		{"container with backslash", []archived{headed(zip.FileHeader{Name: `META-INF\container.xml`}, containerFor("s.xml").Content), file("s.xml", smallScore)}, "s.xml", "", "written on one system"},
		{"dot", []archived{containerFor("./score.xml"), file("score.xml", smallScore)}, "score.xml", "path-differs", "the same file in other words"},
		{"slash", []archived{containerFor("/score.xml"), file("score.xml", smallScore)}, "score.xml", "path-differs", "from the top of the archive"},
		{"case", []archived{containerFor("Score.XML"), file("score.xml", smallScore)}, "score.xml", "path-differs", "a file system that does not mind"},
		{"percent", []archived{containerFor("my%20score.xml"), file("my score.xml", smallScore)}, "my score.xml", "path-differs", "written as an address"},
		{"percent as it is", []archived{containerFor("100%.xml"), file("100%.xml", smallScore)}, "100%.xml", "", "the name as written comes first"},
		{"composed", []archived{containerFor("\u00c9tude.xml"), file("E\u0301tude.xml", smallScore)}, "E\u0301tude.xml", "path-differs", "a file system that takes letters apart"},
		{"old code page", []archived{containerFor("Übung.xml"), headed(zip.FileHeader{Name: "\x9abung.xml", NonUTF8: true}, smallScore)}, "Übung.xml", "", "names without the UTF-8 mark are in code page 437"},
		{"UTF-8 without its mark", []archived{containerFor("Übung.xml"), headed(zip.FileHeader{Name: "Übung.xml", NonUTF8: true}, smallScore)}, "Übung.xml", "", "a public test score is so"},
		{"escaped", []archived{containerFor("a&amp;b.xml"), file("a&b.xml", smallScore)}, "a&b.xml", "", "the path is XML text"},
		{"no container", []archived{file("score.xml", smallScore), file("parts/harp.xml", smallScore), file("page.pdf", "%PDF-1.7")}, "score.xml", "no-container", "the one score at the top"},
		{"no container, UTF-16", []archived{file("data", bomUTF16LE+encoded(declared("UTF-16")+smallScore+strings.Repeat("é", peekLength), false))}, "data", "no-container", "any encoding, and more than is looked at"},
		{"no container, cut in a character", []archived{file("data", smallScore+strings.Repeat(" ", peekLength-len(smallScore)-1)+"é")}, "data", "no-container", "the look ends in the middle of it"},
		{"no container, bad bytes", []archived{file("bad.xml", "<score-partwise>\xff"+strings.Repeat(" ", 100)), file("s.xml", smallScore)}, "s.xml", "no-container", "what cannot be read is no score"},
		{"no container, nothing read", []archived{file("a.xml", declared("klingon")+smallScore), file("b.pdf", "%PDF-"), file("c.xml", "<!--"), file("s.xml", smallScore)}, "s.xml", "no-container", "what cannot be read is no score"},
		{"no container, Latin-1", []archived{file("notes.txt", "no score"), file("s", declared("ISO-8859-1")+"<!-- \xe9 <a> --><score-timewise/>")}, "s", "no-container", "comments before the root"},
		{"no container, other XML", []archived{file("a.xml", "<opus/>"), file("s.xml", smallScore)}, "s.xml", "no-container", "only one of them is a score"},
		{"with namespace", []archived{file(containerName, `<c:container xmlns:c="urn:x"><c:rootfiles><c:rootfile full-path="s.xml"/></c:rootfiles></c:container>`), file("s.xml", smallScore)}, "s.xml", "", "by local names"},
		{"container in UTF-16", []archived{file(containerName, bomUTF16LE+encoded(declared("UTF-16")+`<container><rootfiles><rootfile full-path="s.xml"/></rootfiles></container>`, false)), file("s.xml", smallScore)}, "s.xml", "", "it is XML like any other"},
		{"leads outside", []archived{containerFor("s.xml"), file("s.xml", smallScore), file("../../evil.sh", "#!")}, "s.xml", "entry-outside", "nothing is unpacked here, but elsewhere it may be"},
		{"duplicates of others", []archived{containerFor("s.xml"), file("s.xml", smallScore), file("n.txt", "1"), file("n.txt", "2")}, "s.xml", "", "not ours to judge"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			d, err := Open(ctx, "x.mxl", zipOf(t, tt.entries...), Limits{})
			if err != nil {
				t.Fatalf("%v (%s)", err, tt.why)
			}
			if d.Container.Rootfile != tt.want {
				t.Errorf("score %q, want %q (%s)", d.Container.Rootfile, tt.want, tt.why)
			}
			if !bytes.Contains(d.Text, []byte("<score-")) || bytes.Contains(d.Text, []byte("not this one")) {
				t.Errorf("text %q", d.Text)
			}
			var want []string
			if tt.warning != "" {
				want = []string{tt.warning}
			}
			if got := codes(d.Warnings); !slices.Equal(got, want) {
				t.Errorf("warnings %q, want %q (%s)", got, want, tt.why)
			}
		})
	}
}

func TestContainerErrors(t *testing.T) {
	score := file("score.xml", smallScore)
	many := []archived{containerFor("score.xml"), score}
	for i := range 12 {
		many = append(many, file(fmt.Sprintf("page-%d.txt", i), "x"))
	}
	for _, tt := range []struct {
		name       string
		entries    []archived
		want, hint string
		why        string
	}{
		{"missing", []archived{containerFor("lost.xml"), score}, `names "lost.xml", which is not in the archive; it holds "META-INF/container.xml", "score.xml"`, "unpack", "the entries are listed"},
		{"missing among many", append([]archived{containerFor("lost.xml")}, many[1:]...), "and 4 more", "", "but not a thousand"},
		{"outside", []archived{containerFor("../score.xml"), score}, "lies outside the archive", "", "no path of an archive"},
		{"outside, backslash", []archived{containerFor(`a\..\..\score.xml`), score}, "lies outside the archive", "", "the same"},
		{"drive", []archived{containerFor(`C:\score.xml`), score}, "lies outside the archive", "", "the same"},
		{"folder", []archived{containerFor("scores/"), headed(zip.FileHeader{Name: "scores/"}, "")}, "is a folder", "", "no score"},
		{"twice", []archived{containerFor("score.xml"), score, score}, `two entries that could be "score.xml"`, "unpack", "which one is meant?"},
		{"two that differ in case", []archived{containerFor("SCORE.xml"), score, file("Score.xml", smallScore)}, "two entries that could be", "unpack", "which one is meant?"},
		{"two containers", []archived{containerFor("score.xml"), containerFor("score.xml"), score}, "two entries that could be", "", "which one is meant?"},
		{"empty container", []archived{file(containerName, ""), score}, "container.xml is empty", "", "not even XML"},
		{"broken container", []archived{file(containerName, "<container><rootfiles>"), score}, "container.xml cannot be read", "unpack", "not well-formed"},
		{"container without elements", []archived{file(containerName, "<!-- -->"), score}, "container.xml has no elements", "", "a comment is no document"},
		{"container in no encoding", []archived{file(containerName, "<a>\xff</a>"), score}, "container.xml cannot be read: the file says nothing else", "", "bad bytes"},
		{"no rootfile", []archived{file(containerName, "<container/>"), score}, "names no rootfile", "", "nothing named"},
		{"no path", []archived{file(containerName, "<container><rootfiles><rootfile/></rootfiles></container>"), score}, "has no full-path", "", "nothing named"},
		{"huge container", []archived{file(containerName, strings.Repeat(" ", maxContainerXML)+"<container/>"), score}, `"META-INF/container.xml" is larger than the limit of 1 MiB`, "", "no container.xml is so large"},
		{"deep container", []archived{file(containerName, strings.Repeat("<a>", 100)), score}, "container.xml cannot be read", "", "nesting without end"},
		{"container with an entity bomb", []archived{file(containerName, `<!DOCTYPE a [<!ENTITY b "bbbb"><!ENTITY c "&b;&b;">]><container><rootfiles><rootfile full-path="&c;"/></rootfiles></container>`), score}, "container.xml cannot be read", "", "entities are not expanded"},
		{"a PDF named as the score", []archived{containerFor("a.pdf"), file("a.pdf", "%PDF-1.7")}, `the entry "a.pdf" is a PDF file`, "export", "the wrong rootfile"},
		{"a zip in the zip", []archived{containerFor("a.mxl"), file("a.mxl", string(zipOf(t, score)))}, `the entry "a.mxl" is a zip archive`, "unpack it", "packed twice"},
		{"nothing in it", []archived{file("notes.txt", "hello"), file("a/score.xml", smallScore)}, `no META-INF/container.xml and no score at its top level; it holds "notes.txt", "a/score.xml"`, "", "a zip of something else"},
		{"several", []archived{file("b.xml", smallScore), file("a.xml", smallScore)}, `several at its top level: "b.xml", "a.xml"`, "unpack", "which one is meant?"},
	} {
		_, err := Open(ctx, "x.mxl", zipOf(t, tt.entries...), Limits{})
		t.Run(tt.name, func(t *testing.T) { wantError(t, err, tt.want, tt.hint) })
	}
	_, err := Open(ctx, "x.mxl", zipOf(t, many...), Limits{Entries: 10})
	wantError(t, err, "has 14 entries, more than the limit of 10", "unpack")
}
