package store

import "path/filepath"

// CommonFolder is the innermost folder that holds all targets; "" if they are on
// different drives, or none is a file.
func CommonFolder(targets *Targets) string {
	common, last := "", ""
	for i := range targets.Len() {
		t := targets.At(i)
		files := t.files()
		if t.Err != nil || t.Path == Standard || len(files) == 0 || filepath.Dir(files[0]) == last {
			continue
		}
		last = filepath.Dir(files[0])
		dir, err := filepath.Abs(last)
		if err != nil {
			return ""
		}
		if common == "" {
			common = dir
		}
		for !isWithin(common, dir) {
			parent := filepath.Dir(common)
			if parent == common {
				return ""
			}
			common = parent
		}
	}
	return shorter(common)
}

func isWithin(folder, path string) bool {
	rel, err := filepath.Rel(folder, path)
	return err == nil && filepath.IsLocal(rel)
}

// shorter names an absolute path from where we are if it is here or below.
func shorter(path string) string {
	here, err := filepath.Abs(".")
	if err != nil || path == "" || !isWithin(here, path) {
		return path
	}
	rel, err := filepath.Rel(here, path)
	if err != nil {
		return path
	}
	return rel
}
