package store

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"errors"
	"os"
	"path/filepath"
	"strings"
)

// A Seal ends a JSON report. It says what the results were made from, and lets a
// later run tell whether they are still as they were written: what nobody has
// altered may be replaced, and need not be made again. All is by content;
// nothing depends on a clock. Checksums are SHA-256 in hexadecimal.
type Seal struct {
	From  string            `json:"from,omitempty"` // the score as it was read; "" in a summary
	With  string            `json:"with,omitempty"` // the program's version and the options that matter; "" in a summary
	Files map[string]string `json:"files"`          // the other results, by their names in the report's folder
	Self  string            `json:"self"`           // the report without its seal
}

func Checksum(data []byte) string {
	sum := sha256.Sum256(data)
	return hex.EncodeToString(sum[:])
}

// jsonExt ends the name of a JSON report, the only kind that has a seal.
const jsonExt = ".json"

// The seal is the last key of the report's JSON object, on a line of its own.
const (
	sealKey = ",\n  \"made\": "
	docEnd  = "\n}\n"
)

// Sealed returns an indented JSON document with the seal put to its end.
func Sealed(doc []byte, s Seal) ([]byte, error) {
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

// unseal reads the seal of a report; ok is false if it has none, or if the report
// was altered.
func unseal(data []byte) (s Seal, ok bool) {
	at := bytes.LastIndex(data, []byte(sealKey))
	text, whole := bytes.CutSuffix(data, []byte(docEnd))
	if at < 0 || !whole || json.Unmarshal(text[at+len(sealKey):], &s) != nil {
		return Seal{}, false
	}
	doc := append(bytes.Clone(data[:at]), docEnd...)
	return s, s.Self == Checksum(doc)
}

// An Earlier is what an earlier run has left at the places of a target.
type Earlier struct {
	Report []byte // its JSON report; nil if there is none, or it was altered
	seal   Seal
}

// EarlierAt reads the JSON report at its place among the reports of a target.
func EarlierAt(reports []string) Earlier {
	path := JSONPath(reports)
	if path == "" {
		return Earlier{}
	}
	data, err := os.ReadFile(path)
	if err != nil {
		return Earlier{}
	}
	s, ok := unseal(data)
	if !ok {
		return Earlier{}
	}
	return Earlier{Report: data, seal: s}
}

// JSONPath returns the JSON report among report files; "" if there is none.
func JSONPath(reports []string) string {
	for _, path := range reports {
		if strings.HasSuffix(path, jsonExt) {
			return path
		}
	}
	return ""
}

// wrote tells whether the content of a file is what the earlier run wrote to it.
func (e Earlier) wrote(path string, data []byte) bool {
	if e.Report == nil {
		return false
	}
	if strings.HasSuffix(path, jsonExt) && bytes.Equal(data, e.Report) {
		return true
	}
	sum, known := e.seal.Files[filepath.Base(path)]
	return known && sum == Checksum(data)
}

// IsDone tells whether the earlier run did just what this one would do: from the
// same score with the same options, with all results there and unaltered.
func (e Earlier) IsDone(t Target, score []byte, with string) bool {
	if e.Report == nil || e.seal.With != with {
		return false
	}
	results := t.Reports
	if t.InPlace {
		// The copy stands where the score was: it is what was read now.
		if !e.wrote(t.Path, score) {
			return false
		}
	} else {
		if e.seal.From != Checksum(score) {
			return false
		}
		results = t.files()
	}
	for _, path := range results {
		data, err := os.ReadFile(path)
		if err != nil || !e.wrote(path, data) {
			return false
		}
	}
	return true
}

// MayReplace refuses to replace a file unless an earlier run wrote it and nobody
// has altered it since. Writing what is there already does no harm.
func (e Earlier) MayReplace(path string, data []byte) error {
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
