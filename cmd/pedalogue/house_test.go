package main

import (
	"go/parser"
	"go/token"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"
)

// What each package may import of ours and of other modules; cmd may import all.
var mayImport = map[string][]string{
	"musicxml":      {"github.com/beevik/etree", "github.com/klauspost/compress/flate", "golang.org/x/text"},
	"pedal":         {},
	"pedal/finding": {"pedalogue/pedal"},
	"report":        {"pedalogue/pedal", "golang.org/x/text"},
}

func TestImportsGoOneWay(t *testing.T) {
	for dir, allowed := range mayImport {
		files, err := filepath.Glob(filepath.Join("../..", dir, "*.go"))
		if err != nil || len(files) == 0 {
			t.Fatalf("no files in %s", dir)
		}
		for _, path := range files {
			if strings.HasSuffix(path, "_test.go") {
				continue
			}
			for _, name := range imports(t, path) {
				foreign := strings.HasPrefix(name, "pedalogue/") || strings.Contains(strings.Split(name, "/")[0], ".")
				if foreign && !slices.ContainsFunc(allowed, func(a string) bool { return name == a || strings.HasPrefix(name, a+"/") }) {
					t.Errorf("%s imports %s", path, name)
				}
				if dir != "musicxml" && strings.HasPrefix(name, "encoding/xml") || strings.HasPrefix(dir, "pedal") && (name == "os" || name == "io") {
					t.Errorf("%s imports %s: it should know no files and no XML", path, name)
				}
			}
		}
	}
}

func imports(t *testing.T, path string) []string {
	t.Helper()
	src, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	f, err := parser.ParseFile(token.NewFileSet(), path, src, parser.ImportsOnly)
	if err != nil {
		t.Fatal(err)
	}
	var names []string
	for _, spec := range f.Imports {
		name, err := strconv.Unquote(spec.Path.Value)
		if err != nil {
			t.Fatal(err)
		}
		names = append(names, name)
	}
	return names
}
