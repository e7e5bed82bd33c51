package main

import (
	"go/parser"
	"go/token"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"
)

// What each package may import of ours and of other modules; cmd/pedalogue may
// import all.
var mayImport = map[string][]string{
	"musicxml":       {"github.com/beevik/etree", "golang.org/x/text", "pedalogue/musicxml/internal"},
	"pedal":          {},
	"pedal/beat":     {"golang.org/x/text"},
	"pedal/finding":  {"pedalogue/pedal"},
	"pedal/gliss":    {"pedalogue/pedal"},
	"pedal/keys":     {"pedalogue/pedal"},
	"pedal/revise":   {"pedalogue/pedal"},
	"pedal/remedy":   {"pedalogue/pedal"},
	"pedal/reduce":   {"pedalogue/pedal"},
	"pedal/spelling": {"pedalogue/pedal"},
	"pedal/part":     {"pedalogue/pedal", "pedalogue/musicxml"},
	"pedal/proof":    {"pedalogue/pedal", "pedalogue/musicxml"},
	"report":         {"pedalogue/pedal", "pedalogue/report/engrave", "pedalogue/report/plain", "golang.org/x/text", "github.com/klauspost/compress/flate"},
	"report/plain":   {"golang.org/x/text", "pedalogue/pedal/beat"},
	"report/engrave": {},

	"musicxml/extract":          {"github.com/beevik/etree", "pedalogue/musicxml"},
	"musicxml/internal/archive": {"github.com/klauspost/compress/flate", "golang.org/x/text"},
	"musicxml/internal/insert":  {"github.com/beevik/etree"},
	"musicxml/internal/xmltext": {},

	"cmd/pedalogue/internal/look":   {"pedalogue/musicxml", "pedalogue/pedal"},
	"cmd/pedalogue/internal/staves": {"pedalogue/musicxml", "pedalogue/report/engrave"},
	"cmd/pedalogue/internal/rows":   {"pedalogue/cmd/pedalogue/internal/build", "pedalogue/cmd/pedalogue/internal/staves", "pedalogue/musicxml", "pedalogue/pedal", "pedalogue/report"},

	"cmd/pedalogue/internal/opening": {"pedalogue/cmd/pedalogue/internal/runs", "pedalogue/cmd/pedalogue/internal/near", "pedalogue/cmd/pedalogue/internal/store", "pedalogue/musicxml"},
	"cmd/pedalogue/internal/options": {"pedalogue/cmd/pedalogue/internal", "pedalogue/musicxml", "pedalogue/pedal", "pedalogue/report", "github.com/spf13/pflag"},
	"cmd/pedalogue/internal/planned": {"pedalogue/cmd/pedalogue/internal", "pedalogue/musicxml", "pedalogue/pedal", "pedalogue/report"},
	"cmd/pedalogue/internal/reduced": {"pedalogue/cmd/pedalogue/internal", "pedalogue/musicxml", "pedalogue/pedal", "pedalogue/report"},
	"cmd/pedalogue/internal/inkeys":  {"pedalogue/cmd/pedalogue/internal", "pedalogue/musicxml", "pedalogue/pedal", "pedalogue/report", "golang.org/x/sync"},
	"cmd/pedalogue/internal/parts":   {"pedalogue/cmd/pedalogue/internal", "pedalogue/musicxml", "pedalogue/report"},
	"cmd/pedalogue/internal/schema":  {"pedalogue/cmd/pedalogue/internal/look", "pedalogue/pedal", "pedalogue/report"},
	"cmd/pedalogue/internal/build":   {"pedalogue/cmd/pedalogue/internal/store"},

	"cmd/pedalogue/internal/proofread": {"pedalogue/cmd/pedalogue/internal", "pedalogue/musicxml", "pedalogue/pedal", "pedalogue/report"},

	"cmd/pedalogue/internal/store":    {"golang.org/x/text"},
	"cmd/pedalogue/internal/near":     {},
	"cmd/pedalogue/internal/runs":     {"pedalogue/cmd/pedalogue/internal/store", "pedalogue/cmd/pedalogue/internal/near", "pedalogue/report/plain", "github.com/spf13/pflag", "golang.org/x"},
	"cmd/pedalogue/internal/textdiff": {"pedalogue/musicxml", "pedalogue/report/plain"},
	"cmd/pedalogue/internal/cli":      {"pedalogue/cmd/pedalogue/internal/runs", "pedalogue/cmd/pedalogue/internal/near", "pedalogue/cmd/pedalogue/internal/store", "pedalogue/report/plain", "github.com/spf13"},
	"cmd/pedalogue/internal/work":     {"pedalogue/cmd/pedalogue/internal", "pedalogue/musicxml", "pedalogue/report", "github.com/spf13/pflag"},
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
				if dir != "musicxml/internal/xmltext" && strings.HasPrefix(name, "encoding/xml") || strings.HasPrefix(dir, "pedal") && (name == "os" || name == "io") {
					t.Errorf("%s imports %s: it should know no files and no XML", path, name)
				}
			}
		}
	}
}

// The program uses no network: nothing that speaks a protocol is built into it,
// on any system, and no package of ours imports net, or any of its parts but
// net/url, which only reads and writes names. Two libraries import net for types:
// pflag for options that are addresses, x/sys for calls that we do not use.
func TestNoNetwork(t *testing.T) {
	if _, err := exec.LookPath("go"); err != nil {
		t.Skip("the go command is not here")
	}
	for _, system := range []string{"linux", "darwin", "windows"} {
		list := exec.Command("go", "list", "-deps", "-f", `{{if not .Standard}}{{.ImportPath}} {{join .Imports " "}}{{else}}{{.ImportPath}}{{end}}`, ".")
		list.Env = append(os.Environ(), "GOOS="+system, "CGO_ENABLED=0")
		out, err := list.Output()
		if err != nil {
			t.Fatal(err)
		}
		lines := strings.Split(strings.TrimSpace(string(out)), "\n")
		if !slices.Contains(lines, "os") {
			t.Fatalf("these are not all packages: %q", out)
		}
		for _, line := range lines {
			name, rest, _ := strings.Cut(line, " ")
			if slices.Contains([]string{"net/http", "net/rpc", "net/smtp", "net/textproto", "crypto/tls"}, name) {
				t.Errorf("%s: %s is built in", system, name)
			}
			if name == "github.com/spf13/pflag" || name == "golang.org/x/sys/windows" {
				continue
			}
			for _, used := range strings.Fields(rest) {
				if used == "net" || strings.HasPrefix(used, "net/") && used != "net/url" {
					t.Errorf("%s: %s imports %s", system, name, used)
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
