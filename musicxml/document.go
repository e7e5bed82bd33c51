package musicxml

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"path"
	"strings"

	"pedalogue/musicxml/internal/archive"
)

// A Document is one score file: its bytes, and the score document in it as
// UTF-8 text.
//
// The bytes are never changed. A changed copy is made by [Document.Splice].
type Document struct {
	Name      string     // as the caller gave it; "-" is standard input
	Raw       []byte     // the whole file
	Container *Container // the zip around the score; nil for plain XML
	Source    []byte     // the score document as it is stored, unpacked, not decoded
	Text      []byte     // the score document as UTF-8, without byte order mark; may share memory with Source
	Encoding  Encoding   // how Source is written
	Warnings  []Warning  // about the file as a whole, in the order in which they were found

	bom   int // length of the byte order mark at the start of Source, in bytes
	codec codec
}

// Open finds the score document in the bytes of a file and decodes it. The
// bytes decide what the file is; its name, which may be "" or "-", is only
// compared with them (warning extension-mismatch). The document keeps data and
// expects that nobody changes it.
//
// Every error is an [*Error] with the name as its File; where the context has
// ended before the document was open, it holds that.
func Open(ctx context.Context, name string, data []byte, lim Limits) (*Document, error) {
	d := &Document{Name: name, Raw: data}
	if err := d.open(ctx, lim.WithDefaults()); err != nil {
		return nil, placed(name, err)
	}
	return d, nil
}

func (d *Document) open(ctx context.Context, lim Limits) error {
	if int64(len(d.Raw)) > lim.Bytes {
		return tooLarge("the file", lim.Bytes)
	}
	d.Source = d.Raw
	if archive.Is(d.Raw) || isZipBehind(d.Raw, lim) {
		if err := d.openContainer(ctx, lim); err != nil {
			return err
		}
	}
	d.checkName()
	what := "this"
	if d.Container != nil {
		what = fmt.Sprintf("the entry %q", d.Container.Rootfile)
	}
	if err := sniff(what, d.Source); err != nil {
		return err
	}
	if err := ctx.Err(); err != nil {
		return err
	}
	return d.decode(what, lim)
}

// openContainer sets Container and Source.
func (d *Document) openContainer(ctx context.Context, lim Limits) error {
	c, warnings, err := readContainer(ctx, d.Raw, lim)
	if err != nil {
		return err
	}
	d.Container = c
	if front := c.archive.Front(); front > 0 {
		d.warn("zip-behind-program", fmt.Sprintf("the file is a zip behind a program of %d bytes; the zip is read, and a copy keeps the program in front", front))
	}
	d.Warnings = append(d.Warnings, warnings...)
	d.Source, err = c.archive.Read(ctx, c.score, lim.Bytes)
	return err
}

// checkName warns if the name promises another form than the content has.
func (d *Document) checkName() {
	var text string
	switch ext := strings.ToLower(path.Ext(strings.ReplaceAll(d.Name, `\`, "/"))); {
	case ext == ".mxl" && d.Container == nil:
		text = "the name promises a compressed score, the file is plain XML; a copy stays plain XML"
	case (ext == ".xml" || ext == ".musicxml") && d.Container != nil:
		text = "the name promises plain XML, the file is a compressed score; a copy stays compressed"
	default:
		return
	}
	d.warn("extension-mismatch", text)
}

func (d *Document) warn(code, text string) {
	d.Warnings = append(d.Warnings, Warning{Code: code, Index: -1, Text: text})
}

// NewlineText returns the document's line end as text: "\n", "\r\n" or "\r".
func (d *Document) NewlineText() string {
	switch d.Encoding.Newline {
	case "crlf":
		return "\r\n"
	case "cr":
		return "\r"
	}
	return "\n"
}

// dominantNewline returns "lf", "crlf" or "cr", whichever ends most lines of
// the text; "lf" where there is none, and in a draw the one named first here.
func dominantNewline(text []byte) string {
	cr, crlf := bytes.Count(text, []byte("\r")), 0
	if cr > 0 {
		crlf = bytes.Count(text, []byte("\r\n"))
		cr -= crlf
	}
	lf := bytes.Count(text, []byte("\n")) - crlf
	switch {
	case lf >= crlf && lf >= cr:
		return "lf"
	case crlf >= cr:
		return "crlf"
	}
	return "cr"
}

// fault returns an error without a file; placed adds it.
func fault(hint, format string, args ...any) *Error {
	return &Error{Err: fmt.Errorf(format, args...), Hint: hint}
}

// placed makes err an *Error about the file.
func placed(file string, err error) error {
	var p Error
	var own *Error
	var large *archive.SizeError
	var zipped *archive.Error
	switch {
	case errors.As(err, &own):
		p = *own
	case errors.As(err, &large):
		p = *tooLarge(fmt.Sprintf("the entry %q", large.Entry), large.Limit)
	case errors.As(err, &zipped):
		p = Error{Err: zipped.Err, Hint: zipped.Hint}
	default:
		p.Err = err
	}
	p.File = file
	return &p
}

func tooLarge(what string, limit int64) *Error {
	e := fault("", "%s is larger than the limit of %s", what, byteCount(limit))
	e.Limit = "Bytes"
	return e
}

// byteCount prints a size as "256 MiB", or in bytes where it is no whole number.
func byteCount(n int64) string {
	switch {
	case n >= 1<<20 && n%(1<<20) == 0:
		return fmt.Sprintf("%d MiB", n>>20)
	case n >= 1<<10 && n%(1<<10) == 0:
		return fmt.Sprintf("%d KiB", n>>10)
	}
	return fmt.Sprintf("%d bytes", n)
}
