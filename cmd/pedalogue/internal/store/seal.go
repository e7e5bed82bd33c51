package store

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"errors"
	"os"
	"path/filepath"
	"slices"
	"strings"
)

// A Seal stands at the end of a JSON report, or where there is none, in a hidden
// file beside the results. It says what the results were made from, and lets a
// later run tell whether they are still as they were written: what nobody has
// altered may be replaced, and need not be made again. All is by content;
// nothing depends on a clock. Checksums are SHA-256 in hexadecimal.
type Seal struct {
	From   string            `json:"from,omitempty"`   // the source as it was read; "" in a summary
	With   string            `json:"with,omitempty"`   // the program's version and the options that matter; "" in a summary
	Files  map[string]string `json:"files"`            // the other results, by their names in the folder
	Copy   string            `json:"copy,omitempty"`   // the one of them that is a copy; "" for none, or in the source's place
	Others []string          `json:"others,omitempty"` // other copies that earlier runs have left, with other names
	Counts json.RawMessage   `json:"counts,omitempty"` // what a summary wants to know, so that nothing has to be done again for it
	Self   string            `json:"self"`             // the document without its seal
}

// Checksum is the SHA-256 of data in hexadecimal.
func Checksum(data []byte) string {
	sum := sha256.Sum256(data)
	return hex.EncodeToString(sum[:])
}

const (
	jsonExt = ".json" // ends the name of the report that carries the seal
	sealExt = ".made" // ends the hidden file that carries it where there is none
)

// The seal is the last key of the report's JSON object, on a line of its own.
const (
	sealKey = ",\n  \"made\": "
	docEnd  = "\n}\n"
)

// sealed returns an indented JSON document with the seal put to its end.
func sealed(doc []byte, s Seal) ([]byte, error) {
	body, ok := bytes.CutSuffix(doc, []byte(docEnd))
	if !ok {
		return nil, errors.New("internal error: the report does not end as JSON reports do")
	}
	s.Self = Checksum(doc)
	text, err := json.Marshal(s)
	if err != nil {
		return nil, err
	}
	return bytes.Join([][]byte{body, []byte(sealKey), text, []byte(docEnd)}, nil), nil
}

// unseal reads the seal of a document; ok is false if it has none, or if the
// document was altered.
func unseal(data []byte) (s Seal, ok bool) {
	if s, ok = tailOf(data); !ok {
		return Seal{}, false
	}
	doc := append(bytes.Clone(data[:bytes.LastIndex(data, []byte(sealKey))]), docEnd...)
	return s, s.Self == Checksum(doc)
}

// tailOf cuts the seal off a document without looking at the rest.
func tailOf(data []byte) (s Seal, ok bool) {
	at := bytes.LastIndex(data, []byte(sealKey))
	text, whole := bytes.CutSuffix(data, []byte(docEnd))
	return s, at >= 0 && whole && json.Unmarshal(text[at+len(sealKey):], &s) == nil
}

// An Earlier is what earlier runs have left at the places of a target.
type Earlier struct {
	docs []sealedDoc
}

type sealedDoc struct {
	path string
	data []byte
	seal Seal
}

// EarlierAt reads the seals at the places of a target: that of the JSON report, also
// where none is to be written now, and that of its own file.
func EarlierAt(t Target) Earlier {
	var e Earlier
	for _, path := range []string{t.json(), t.seal()} {
		if path == "" {
			continue
		}
		data, err := os.ReadFile(path)
		if err != nil {
			continue
		}
		if s, ok := unseal(data); ok {
			e.docs = append(e.docs, sealedDoc{path, data, s})
		}
	}
	return e
}

// json is where the JSON report stands, or would stand; "" if there is no place.
func (t Target) json() string {
	if t.base == "" {
		return ""
	}
	return t.base + jsonExt
}

// wrote tells whether the content of a file is what an earlier run wrote to it.
func (e Earlier) wrote(path string, data []byte) bool {
	for _, d := range e.docs {
		if path == d.path && bytes.Equal(data, d.data) || d.wrote(path, data) {
			return true
		}
	}
	return false
}

// left are the files that earlier runs have written and that are still there, by name,
// with their checksums.
func (e Earlier) left() map[string]string {
	files := map[string]string{}
	for _, d := range e.docs {
		for name, sum := range d.seal.Files {
			path := filepath.Join(filepath.Dir(d.path), name)
			if _, err := os.Lstat(path); err != nil {
				continue
			}
			if other, known := files[name]; known && other != sum {
				if data, err := os.ReadFile(path); err != nil || Checksum(data) != sum {
					continue // the other one may be of later
				}
			}
			files[name] = sum
		}
	}
	return files
}

// copies are the names of those of the files that are copies.
func (e Earlier) copies(files map[string]string) []string {
	var names []string
	for _, d := range e.docs {
		for _, name := range append(d.seal.Others, d.seal.Copy) {
			if files[name] != "" && !slices.Contains(names, name) {
				names = append(names, name)
			}
		}
	}
	slices.Sort(names)
	return names
}

// wrote tells whether the seal names a file and this content of it.
func (d sealedDoc) wrote(path string, data []byte) bool {
	if filepath.Dir(path) != filepath.Dir(d.path) {
		return false
	}
	sum, known := d.seal.Files[filepath.Base(path)]
	return known && sum == Checksum(data)
}

// Report is the JSON report of an earlier run; nil if there is none, or if it was
// altered.
func (e Earlier) Report() []byte {
	for _, d := range e.docs {
		if strings.HasSuffix(d.path, jsonExt) {
			return d.data
		}
	}
	return nil
}

// Counts are those of the run that has left the copy at the place of a target, or if
// none is known to have, of any; nil for none.
func (e Earlier) Counts(t Target) json.RawMessage {
	var counts json.RawMessage
	data, err := os.ReadFile(t.Path)
	for _, d := range e.docs {
		if d.seal.Counts == nil {
			continue
		}
		if err == nil && d.wrote(t.Path, data) {
			return d.seal.Counts
		}
		if counts == nil {
			counts = d.seal.Counts
		}
	}
	return counts
}

// IsDone tells whether an earlier run did just what this one would do: from the
// same source with the same options, with all results there and unaltered. counts
// is what it has kept for a summary.
func (e Earlier) IsDone(t Target, source []byte, with string) (counts json.RawMessage, done bool) {
	for _, d := range e.docs {
		if d.seal.With == with && d.isDone(t, source) {
			return d.seal.Counts, true
		}
	}
	return nil, false
}

func (d sealedDoc) isDone(t Target, source []byte) bool {
	results := t.Reports
	if t.InPlace {
		// The copy stands where the source was: it is what was read now.
		if !d.wrote(t.Path, source) {
			return false
		}
	} else {
		if d.seal.From != Checksum(source) {
			return false
		}
		results = t.files()
		if d.seal.Copy == "" { // several copies, with names of their own
			results = slices.Clone(t.Reports)
			for name := range d.seal.Files {
				results = append(results, filepath.Join(filepath.Dir(d.path), name))
			}
		}
	}
	for _, path := range results {
		if path == d.path {
			continue // it was read, and is whole
		}
		data, err := os.ReadFile(path)
		if err != nil || !d.wrote(path, data) {
			return false
		}
	}
	return true
}

// mayReplace refuses to replace a file unless an earlier run wrote it and nobody
// has altered it since. Writing what is there already does no harm.
func (e Earlier) mayReplace(path string, data []byte) error {
	info, err := os.Lstat(path)
	if errors.Is(err, os.ErrNotExist) {
		return nil
	}
	if err != nil {
		return NewError(path, err, "")
	}
	if !info.Mode().IsRegular() {
		return nil // save refuses it with its own reason
	}
	old, err := os.ReadFile(path)
	if err != nil {
		return NewError(path, err, "")
	}
	if bytes.Equal(old, data) || e.wrote(path, old) {
		return nil
	}
	return NewError(path, errors.New("is there already, and not as an earlier run wrote it; nothing is overwritten"),
		"remove or rename it, or choose another folder with --out")
}

// IsCopy tells whether a file is a copy that an earlier run has made, and not in the
// place of its source: a seal beside it says so, and it has not been replaced since.
// Where it was altered, stillOurs decides. marks are what stands between names and
// the extensions of reports that may carry the seal.
func IsCopy(path string, marks []string, stillOurs func(path string) bool) bool {
	dir, name := filepath.Split(path)
	seals := []string{Target{Path: path}.seal()}
	for stem := name; filepath.Ext(stem) != ""; {
		stem = strings.TrimSuffix(stem, filepath.Ext(stem))
		for _, mark := range marks {
			seals = append(seals, filepath.Join(dir, stem+mark+jsonExt))
		}
	}
	for _, at := range seals {
		s, ok := tailAt(at)
		if !ok || s.Copy != name && !slices.Contains(s.Others, name) {
			continue
		}
		data, err := os.ReadFile(path)
		return err == nil && (s.Files[name] == Checksum(data) || stillOurs(path))
	}
	return false
}

// longSeal is more than most seals have bytes.
const longSeal = 1 << 16

// tailAt reads the seal at the end of a file.
func tailAt(path string) (Seal, bool) {
	f, err := os.Open(path)
	if err != nil {
		return Seal{}, false
	}
	defer f.Close()
	info, err := f.Stat()
	if err != nil {
		return Seal{}, false
	}
	for size := min(info.Size(), longSeal); ; size = min(info.Size(), 8*size) {
		data := make([]byte, size)
		if _, err := f.ReadAt(data, info.Size()-size); err != nil {
			return Seal{}, false
		}
		if s, ok := tailOf(data); ok || size == info.Size() {
			return s, ok
		}
	}
}
