package musicxml

import (
	"context"
	"fmt"
	"net/url"
	"path"
	"slices"
	"strings"
	"unicode/utf8"

	"golang.org/x/text/unicode/norm"

	"pedalogue/musicxml/internal/archive"
	"pedalogue/musicxml/internal/xmltext"
)

// A Container is the zip around a score, which MusicXML calls a compressed
// file.
//
// In a copy every entry keeps its name, its place in the order, its times,
// attributes, comment and compression method, and all but the score their packed
// bytes; so does the archive its comment, and what stands in front of it.
type Container struct {
	Rootfile    string   // name of the entry that is the score
	Entries     []string // the names of all entries in their order, directories too
	Stored      []string // the names of the files among them that are not compressed
	Descriptors bool     // does any entry have its sizes in a data descriptor behind it

	archive *archive.Archive
	score   int // index of the score's entry
}

const containerName = "META-INF/container.xml"

// maxContainerXML bounds container.xml, which has a few hundred bytes.
const maxContainerXML = 1 << 20

// peekLength is how far into an entry its root element is looked for, in bytes.
const peekLength = 16 << 10

// readContainer reads the zip's directory and finds the score's entry.
func readContainer(ctx context.Context, raw []byte, lim Limits) (*Container, []Warning, error) {
	a, err := archive.Open(raw, lim.Entries)
	if err != nil {
		return nil, nil, err
	}
	c := &Container{archive: a}
	for _, e := range a.Entries() {
		c.Entries = append(c.Entries, e.Name)
		if e.Stored && !e.Dir {
			c.Stored = append(c.Stored, e.Name)
		}
		c.Descriptors = c.Descriptors || e.Descriptor
	}
	warnings := c.unsafeNames()
	found, err := c.findScore(ctx)
	if err != nil {
		return nil, nil, err
	}
	c.Rootfile = c.Entries[c.score]
	return c, append(warnings, found...), nil
}

// unsafeNames warns of entries that an unpacking program could write outside
// its folder. Here nothing is unpacked to disk.
func (c *Container) unsafeNames() []Warning {
	for _, name := range c.Entries {
		if leavesFolder(name) {
			return []Warning{{Code: "entry-outside", Index: -1,
				Text: fmt.Sprintf("the entry %q would land outside its folder when unpacked; it is kept as it is", name)}}
		}
	}
	return nil
}

func leavesFolder(name string) bool {
	name = slashes(name)
	return path.IsAbs(name) || len(name) > 1 && name[1] == ':' || slices.Contains(strings.Split(name, "/"), "..")
}

func slashes(name string) string { return strings.ReplaceAll(name, `\`, "/") }

// findScore sets score and returns the warnings about the way to it.
func (c *Container) findScore(ctx context.Context) ([]Warning, error) {
	at, err := c.one(containerName, func(name string) bool { return slashes(name) == containerName })
	if err != nil {
		return nil, err
	}
	if at < 0 {
		return c.findWithoutContainer(ctx)
	}
	src, err := c.archive.Read(ctx, at, maxContainerXML)
	if err != nil {
		return nil, err
	}
	full, err := rootfile(ctx, src)
	if err != nil {
		return nil, err
	}
	return c.findRootfile(full)
}

// one returns the index of the entry whose name fits, or -1.
func (c *Container) one(wanted string, fits func(name string) bool) (int, error) {
	at := -1
	for i, name := range c.Entries {
		if !fits(name) {
			continue
		}
		if at >= 0 {
			return -1, fault("unpack the archive and give the score inside", "the archive has two entries that could be %q", wanted)
		}
		at = i
	}
	return at, nil
}

// rootfile returns the full-path of the first rootfile in container.xml.
func rootfile(ctx context.Context, src []byte) (string, error) {
	const hint = "unpack the archive and give the score inside"
	doc := &Document{Source: src}
	if err := sniff(containerName, src); err != nil {
		return "", err
	}
	if err := doc.decode(containerName, Limits{Bytes: maxContainerXML}); err != nil {
		return "", fault(hint, "%s cannot be read: %w", containerName, err.(*Error).Err)
	}
	full, elements, found := "", 0, false
	for t, err := range xmltext.Tokens(ctx, doc.Text) {
		if err != nil {
			return "", fault(hint, "%s cannot be read: %w", containerName, err)
		}
		if t.Kind != xmltext.StartTag {
			continue
		}
		elements++
		if _, name := xmltext.SplitName(t.Name); name == "rootfile" && !found {
			full, found = xmltext.Attr(t.Attrs, "full-path"), true
		}
	}
	switch {
	case elements == 0:
		return "", fault(hint, "%s has no elements", containerName)
	case !found:
		return "", fault(hint, "%s names no rootfile", containerName)
	case full == "":
		return "", fault(hint, "the first rootfile of %s has no full-path", containerName)
	}
	return full, nil
}

// findRootfile finds the entry that full-path means. The name as written comes
// first, then with slashes for backslashes, then, if only one entry can be
// meant, without regard to case, percent signs and composed characters.
func (c *Container) findRootfile(full string) ([]Warning, error) {
	if leavesFolder(strings.TrimLeft(full, "/")) {
		return nil, fault("", "%s names %q, which lies outside the archive", containerName, full)
	}
	tries := []struct {
		code, text string
		form       func(string) string
	}{
		{"", "", func(s string) string { return s }},
		{"path-separator", "%s names %q with backslashes; read as %q", slashes},
		{"path-differs", "%s names %q; taken to be %q", looseName},
	}
	for _, t := range tries {
		want := t.form(full)
		at, err := c.one(full, func(name string) bool { return t.form(name) == want })
		if err != nil {
			return nil, err
		}
		if at < 0 {
			continue
		}
		if c.archive.Entries()[at].Dir {
			return nil, fault("", "%s names %q as the score, which is a folder", containerName, full)
		}
		c.score = at
		var warnings []Warning
		if strings.Contains(full, `\`) && t.code != "" {
			t.code, t.text = tries[1].code, tries[1].text
		}
		if t.code != "" {
			warnings = append(warnings, Warning{Code: t.code, Index: -1, Text: fmt.Sprintf(t.text, containerName, full, c.Entries[at])})
		}
		return warnings, nil
	}
	return nil, fault("unpack the archive and give the score inside",
		"%s names %q, which is not in the archive; it holds %s", containerName, full, list(c.Entries))
}

// looseName makes names equal that differ only in what programs and file
// systems are known to change.
func looseName(name string) string {
	name = slashes(name)
	if plain, err := url.PathUnescape(name); err == nil && utf8.ValidString(plain) {
		name = plain
	}
	dir := strings.HasSuffix(name, "/")
	name = path.Clean(strings.TrimLeft(name, "/"))
	if dir {
		name += "/"
	}
	return strings.ToLower(norm.NFC.String(name))
}

// findWithoutContainer takes the one entry at the top level that is a MusicXML
// document.
func (c *Container) findWithoutContainer(ctx context.Context) ([]Warning, error) {
	var scores []int
	for i, e := range c.archive.Entries() {
		if e.Dir || strings.Contains(slashes(c.Entries[i]), "/") {
			continue
		}
		head, err := c.archive.Peek(i, peekLength)
		if err != nil {
			return nil, err
		}
		if root := peekRoot(ctx, head); root == "score-partwise" || root == "score-timewise" {
			scores = append(scores, i)
		}
	}
	const without = "the archive has no " + containerName
	switch len(scores) {
	case 0:
		return nil, fault("", "%s and no score at its top level; it holds %s", without, list(c.Entries))
	case 1:
		c.score = scores[0]
		return []Warning{{Code: "no-container", Index: -1,
			Text: fmt.Sprintf("%s; took the one score in it, %q", without, c.Entries[c.score])}}, nil
	}
	var names []string
	for _, i := range scores {
		names = append(names, c.Entries[i])
	}
	return nil, fault("unpack the archive and give the score that is meant",
		"%s to say which is the score, and several at its top level: %s", without, list(names))
}

// peekRoot returns the local name of the root element of a document of which
// head is the beginning, or "" if it is not to be seen there.
func peekRoot(ctx context.Context, head []byte) string {
	if sniff("", head) != nil {
		return ""
	}
	d := &Document{Source: head}
	if err := d.decode("", Limits{Bytes: 4 * peekLength}); err != nil {
		if d.codec == nil {
			return ""
		}
		// The last character may be cut.
		body := head[d.bom:]
		_, bad := d.codec.textLen(body)
		if bad < 0 || len(body)-bad > utf8.UTFMax {
			return ""
		}
		size, _ := d.codec.textLen(body[:bad])
		d.Text = d.codec.text(body[:bad], size)
	}
	for t, err := range xmltext.Tokens(ctx, d.Text) {
		if err != nil {
			break
		}
		if t.Kind == xmltext.StartTag {
			_, name := xmltext.SplitName(t.Name)
			return name
		}
	}
	return ""
}

// list prints names for a message, the first ten of them.
func list(names []string) string {
	const most = 10
	if len(names) == 0 {
		return "nothing"
	}
	var quoted []string
	for _, name := range names[:min(len(names), most)] {
		quoted = append(quoted, fmt.Sprintf("%q", name))
	}
	text := strings.Join(quoted, ", ")
	if more := len(names) - most; more > 0 {
		text += fmt.Sprintf(" and %d more", more)
	}
	return text
}
