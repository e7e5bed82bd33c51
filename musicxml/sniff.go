package musicxml

import (
	"bytes"
	"slices"
	"strings"

	"pedalogue/musicxml/internal/archive"
)

// signature is how files of one kind begin.
type signature struct {
	start string
	kind  string
}

const program = "a program"

// Signatures of what people hand over by mistake: the printed score, the
// recording, the picture, the archive around it.
var signatures = [...]signature{
	{"%PDF-", "a PDF file"},
	{"%!PS", "a PostScript file"},
	{"\x89PNG\r\n\x1a\n", "a PNG picture"},
	{"\xff\xd8\xff", "a JPEG picture"},
	{"GIF8", "a GIF picture"},
	{"II*\x00", "a TIFF picture"},
	{"MM\x00*", "a TIFF picture"},
	{"MThd", "a MIDI file"},
	{"RIFF", "a RIFF file (sound or film)"},
	{"OggS", "an Ogg sound file"},
	{"ID3", "an MP3 sound file"},
	{"fLaC", "a FLAC sound file"},
	{"\x1f\x8b", "a gzip file"},
	{"BZh", "a bzip2 file"},
	{"\xfd7zXZ\x00", "an xz file"},
	{"\x28\xb5\x2f\xfd", "a Zstandard file"},
	{"7z\xbc\xaf\x27\x1c", "a 7z archive"},
	{"Rar!\x1a\x07", "a RAR archive"},
	{"PK\x03\x04", "a zip archive"},
	{"PK\x05\x06", "an empty zip archive"},
	{"PK\x07\x08", "one volume of a split zip archive"},
	{"\x7fELF", program},
	{"MZ", program},
	{"\xca\xfe\xba\xbe", program},
	{"\xcf\xfa\xed\xfe", program},
	{"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1", "an office document in binary form"},
	{"SQLite format 3\x00", "a database"},
	{`{\rtf`, "an RTF text"},
}

// fronts are how files begin, besides programs, behind which a zip may stand: a
// script that unpacks it, and the mark of an archive that was to be split and fits
// into one volume (APPNOTE.TXT, 8.5.4).
var fronts = [...]string{"#!", "PK00"}

// isZipBehind reports whether a file is a zip behind a program, which most often
// is there to unpack it.
func isZipBehind(raw []byte, lim Limits) bool {
	begins := func(start string) bool { return bytes.HasPrefix(raw, []byte(start)) }
	front := slices.ContainsFunc(fronts[:], begins) ||
		slices.ContainsFunc(signatures[:], func(s signature) bool { return s.kind == program && begins(s.start) })
	if !front {
		return false
	}
	a, err := archive.Open(raw, lim.Entries)
	return err == nil && len(a.Entries()) > 0
}

// sniffLength is how far into a file its kind is looked for, in bytes.
const sniffLength = 1024

// sniff refuses what cannot be an XML document in any encoding, and says what
// it is instead. What it lets through may still be no MusicXML.
func sniff(what string, src []byte) error {
	if len(src) == 0 {
		return fault("", "%s is empty", what)
	}
	for _, s := range signatures {
		if bytes.HasPrefix(src, []byte(s.start)) {
			return fault(hintFor(s.kind), "%s is %s, not MusicXML", what, s.kind)
		}
	}
	head := src[:min(len(src), sniffLength)]
	if len(bytes.Trim(head, "\x00")) == 0 {
		return fault("the file is damaged; get it again from where it came", "%s holds only NUL bytes where its text should begin", what)
	}
	text := bytes.TrimLeft(bytes.TrimPrefix(head, []byte(bomUTF8)), " \t\r\n")
	if len(text) == 0 && len(head) == len(src) {
		return fault("", "%s holds nothing but white space", what)
	}
	if isHTML(text) {
		return fault("if it was downloaded, the page came instead of the file", "%s is a web page (HTML), not MusicXML", what)
	}
	if wideForm(src) == "" && bytes.IndexByte(head, 0) >= 0 {
		return fault("export the score as MusicXML", "%s is a binary file, not MusicXML", what)
	}
	return nil
}

func hintFor(kind string) string {
	if strings.Contains(kind, "zip archive") {
		return "unpack it and give the score inside"
	}
	for _, packed := range []string{"archive", "gzip", "bzip2", "xz", "Zstandard"} {
		if strings.Contains(kind, packed) {
			return "unpack it first"
		}
	}
	return "export the score as MusicXML"
}

func isHTML(text []byte) bool {
	for _, start := range []string{"<!doctype html", "<html"} {
		if len(text) > len(start) && strings.EqualFold(string(text[:len(start)]), start) &&
			strings.IndexByte(" \t\r\n>", text[len(start)]) >= 0 {
			return true
		}
	}
	return false
}
