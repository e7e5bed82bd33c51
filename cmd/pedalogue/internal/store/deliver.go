package store

import (
	"encoding/json"
	"path/filepath"
	"slices"
)

// A Delivery is what is to be put into the places of a target.
type Delivery struct {
	Copy    []byte   // nil for none
	Reports [][]byte // in the order of Target.Reports
	Source  Reading  // what they were made of; its zero value for a summary
	With    string   // all that decides on them beside the source, such as a checksum of options
	Counts  any      // what a summary wants to know when a later run keeps them; nil for nothing
}

// Deliver saves a delivery and seals it. What earlier runs have not written, or
// somebody has altered since, is not replaced, but for the source that its copy
// takes the place of.
func (sys System) Deliver(t Target, d Delivery, before Earlier) error {
	if t.Err != nil {
		return t.Err
	}
	made, err := t.sealFor(d, before)
	if err != nil {
		return err
	}
	reports, files := d.Reports, t.Reports
	if i := t.jsonIndex(); i >= 0 {
		reports = append([][]byte{}, reports...)
		reports[i], err = sealed(reports[i], made)
	} else if path := t.seal(); path != "" && len(made.Files) > 0 {
		var doc []byte
		doc, err = sealed([]byte("{\n  \"format\": 1\n}\n"), made)
		files, reports = append([]string{path}, files...), append([][]byte{doc}, reports...)
	}
	if err != nil {
		return err
	}
	for i, path := range files {
		if err := before.mayReplace(path, reports[i]); err != nil {
			return err
		}
	}
	if d.Copy != nil && !t.InPlace {
		if err := before.mayReplace(t.Path, d.Copy); err != nil {
			return err
		}
	}
	t.Reports = files
	return sys.Save(t, d.Copy, reports, d.Source)
}

// sealFor is the seal of a delivery. It has no files where nothing could be
// replaced by a later run but the source, which needs no seal. What earlier runs have
// left beside stays known.
func (t Target) sealFor(d Delivery, before Earlier) (Seal, error) {
	s := Seal{With: d.With, Files: before.left()}
	if d.Source.Data != nil {
		s.From = Checksum(d.Source.Data)
	}
	at := t.jsonIndex()
	for i, path := range t.Reports {
		delete(s.Files, filepath.Base(path))
		if i != at {
			s.Files[filepath.Base(path)] = Checksum(d.Reports[i])
		}
	}
	s.Others = before.copies(s.Files)
	if d.Copy != nil && (!t.InPlace || len(t.Reports) > 0) {
		s.Files[filepath.Base(t.Path)] = Checksum(d.Copy)
		if !t.InPlace {
			s.Copy = filepath.Base(t.Path)
			s.Others = slices.DeleteFunc(s.Others, func(name string) bool { return name == s.Copy })
		}
	}
	if d.Counts != nil {
		counts, err := json.Marshal(d.Counts)
		if err != nil {
			return s, err
		}
		s.Counts = counts
	}
	return s, nil
}

// jsonIndex is the index of the JSON report among the reports; -1 for none.
func (t Target) jsonIndex() int {
	for i, path := range t.Reports {
		if path == t.json() {
			return i
		}
	}
	return -1
}

// Named is a target for reports that have a common beginning, such as those on a
// whole run: base and each of exts. No result may leave the folder within, if there
// is one.
func Named(base, within string, exts []string) Target {
	t := Target{base: base, Within: within}
	for _, ext := range exts {
		t.Reports = append(t.Reports, base+ext)
	}
	return t
}
