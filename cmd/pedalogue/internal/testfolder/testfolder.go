// Package testfolder lays out folders for tests.
package testfolder

import (
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
)

// Enter makes a folder with these files, which hold their own names, and goes
// there. A name that ends in a slash is a folder.
func Enter(t *testing.T, names ...string) {
	t.Helper()
	t.Chdir(t.TempDir())
	for _, name := range names {
		Write(t, name, name)
	}
}

func Write(t *testing.T, name, content string) {
	t.Helper()
	dir := filepath.Dir(name)
	if strings.HasSuffix(name, "/") {
		dir = name
	}
	if err := os.MkdirAll(dir, 0o777); err != nil {
		t.Fatal(err)
	}
	if dir == name {
		return
	}
	if err := os.WriteFile(name, []byte(content), 0o644); err != nil {
		t.Fatal(err)
	}
}

func Link(t *testing.T, to, name string) {
	t.Helper()
	if err := os.Symlink(to, name); err != nil {
		t.Skip("no links here: ", err)
	}
}

// Contents lists the files below the current folder with what they hold.
func Contents(t *testing.T) string {
	t.Helper()
	var all []string
	err := filepath.WalkDir(".", func(path string, d os.DirEntry, err error) error {
		if err != nil || !d.Type().IsRegular() {
			return err
		}
		data, err := os.ReadFile(path)
		all = append(all, filepath.ToSlash(path)+"="+string(data))
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	slices.Sort(all)
	return strings.Join(all, " ")
}

// Tree returns all files below a folder with their content.
func Tree(t *testing.T, root string) map[string]string {
	t.Helper()
	files := map[string]string{}
	err := filepath.WalkDir(root, func(path string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			return err
		}
		data, err := os.ReadFile(path)
		files[filepath.ToSlash(path)] = string(data)
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	return files
}
