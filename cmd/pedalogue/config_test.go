package main

import (
	"encoding/json"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

func init() {
	// No test depends on the options of who runs it.
	os.Setenv("XDG_CONFIG_HOME", filepath.Join(os.TempDir(), "pedalogue-test-has-no-such-folder"))
}

// Options from a file: which file, which options, and what goes before what.
func TestOptionsFromAFile(t *testing.T) {
	for _, tt := range []struct {
		why   string
		files map[string]string // $ is the folder of XDG_CONFIG_HOME
		args  string
		want  string // what came from it, "respell=free"; at |
		is    string // respell, as it is in the plan
	}{
		{"no file", nil, "", "", "balanced"},
		{"in this folder", map[string]string{".pedalogue": "respell = free\n"}, "", "respell = free", "free"},
		{"of the user", map[string]string{"$pedalogue/config": "respell = needed\n"}, "", "respell = needed", "needed"},
		{"this folder goes first", map[string]string{".pedalogue": "respell = free", "$pedalogue/config": "respell = needed\nlanguage = de"}, "", "respell = free", "free"},
		{"named", map[string]string{".pedalogue": "respell = free", "house": "respell = written"}, "--config house", "respell = written", "written"},
		{"none wanted", map[string]string{".pedalogue": "respell = free"}, "--no-config", "", "balanced"},
		{"what is typed goes first", map[string]string{".pedalogue": "respell = free\nlanguage = fr"}, "--respell needed", "language = fr", "needed"},
		{"a section of a command", map[string]string{".pedalogue": "respell = free\n[keys]\nrespell = written\n[mark]\nrespell = needed\n"}, "", "respell = needed", "needed"},
		{"comments, quotes, blanks, line ends of another system", map[string]string{".pedalogue": "\ufeff# ours\r\n\r\n  --respell=\"free\"  \r\nlanguage = 'de'\r\n"}, "", "respell = free|language = de", "free"},
		{"an option of other commands alone", map[string]string{".pedalogue": "within = 2\nrespell = free"}, "", "respell = free", "free"},
		{"an option that is on", map[string]string{".pedalogue": "curve = true"}, "", "curve = true", "balanced"},
		{"one that may stand twice", map[string]string{".pedalogue": "spell = 1: written\nspell = all: written"}, "", "spell = 1: written|spell = all: written", "balanced"},
		{"a folder of that name", map[string]string{".pedalogue/x": ""}, "", "", "balanced"},
	} {
		t.Run(tt.why, func(t *testing.T) {
			folder(t)
			writeFile(t, "easy.musicxml", easyScore("Easy"))
			home := t.TempDir()
			t.Setenv("XDG_CONFIG_HOME", home)
			for name, text := range tt.files {
				if inside, is := strings.CutPrefix(name, "$"); is {
					name = filepath.Join(home, inside)
					if err := os.MkdirAll(filepath.Dir(name), 0o777); err != nil {
						t.Fatal(err)
					}
				}
				if strings.Contains(name, "/x") && !filepath.IsAbs(name) {
					writeFile(t, name, text)
					continue
				}
				if err := os.WriteFile(name, []byte(text), 0o666); err != nil {
					t.Fatal(err)
				}
			}
			args := append([]string{"mark", "easy.musicxml"}, strings.Fields(tt.args)...)
			r := typed(t, append(args, "--json")...)
			var doc struct {
				Config *struct {
					File    string   `json:"file"`
					Options []string `json:"options"`
				} `json:"config"`
				Parts []struct {
					Options struct {
						Respell string `json:"respell"`
					} `json:"options"`
				} `json:"parts"`
			}
			if err := json.Unmarshal([]byte(r.out), &doc); err != nil {
				t.Fatalf("%v: %s%s", err, r.out, r.err)
			}
			got := ""
			if doc.Config != nil {
				got = strings.Join(doc.Config.Options, "|")
			}
			if got != tt.want || doc.Parts[0].Options.Respell != tt.is {
				t.Errorf("%q came from it, want %q; respell is %s, want %s", got, tt.want, doc.Parts[0].Options.Respell, tt.is)
			}
			typed(t, append(args, "--report", "text,json,html")...)
			for _, ext := range []string{".json", ".html"} {
				data, err := os.ReadFile("easy.pedals" + ext)
				if err != nil {
					t.Fatal(err)
				}
				if first, _, _ := strings.Cut(tt.want, "|"); !strings.Contains(string(data), first) || tt.want == "" && strings.Contains(string(data), "ptions from ") {
					t.Errorf("the report that ends in %s does not say so", ext)
				}
			}
		})
	}
}

// Reports with options from a file are sealed like all, and the options decide on what
// --resume leaves out.
func TestOptionsFromAFileAndResume(t *testing.T) {
	folder(t)
	writeFile(t, "in/easy.musicxml", easyScore("Easy"))
	writeFile(t, ".pedalogue", "respell = free\nreport = json,html\n")
	typed(t, "mark", "--out", "o", "in").want(t, exitDone, "", "")
	if r := typed(t, "mark", "--out", "o", "--resume", "--log", "json", "in"); !strings.Contains(r.err, `"kept":true`) {
		t.Errorf("it is done again: %s", r.err)
	}
	writeFile(t, ".pedalogue", "respell = written\n")
	if r := typed(t, "mark", "--out", "o", "--resume", "--log", "json", "in"); r.code != exitDone || !strings.Contains(r.err, `"kept":false`) {
		t.Errorf("other options, but it is not done again: %s", r.err)
	}
	if r := typed(t, "mark", "--out", "o2", "--no-config", "in"); strings.Contains(r.out, "options from") || r.code != exitDone {
		t.Errorf("%s%s", r.out, r.err)
	}
	typed(t, "mark", "--diff", "in/easy.musicxml").want(t, exitDone, "--- ", "")
	typed(t, "gliss", "C9", "--json").want(t, exitDone, `"config":{"file":".pedalogue","options":["respell = written"]}`, "")
	typed(t, "look", "in/easy.musicxml").want(t, exitDone, "", "")
}

func TestFilesOfOptionsThatAreWrong(t *testing.T) {
	for _, tt := range []struct{ why, text, args, want string }{
		{"what writes is said on the command line", "out = there", "", ".pedalogue:1: out is not taken from a file"},
		{"in a section too", "[mark]\nwrite = true", "", ".pedalogue:2: write is not taken from a file"},
		{"nor of other commands", "[keys]\nchoose = auto", "", ".pedalogue:2: choose is not taken from a file"},
		{"no option", "respel = free", "", "there is no option \"respel\"\nhint: did you mean respell?"},
		{"an option of another command in a section", "[mark]\nwithin = 3", "", ".pedalogue:2: there is no option \"within\""},
		{"no command", "[mrak]", "", ".pedalogue:1: there is no command \"mrak\"\nhint: did you mean mark?"},
		{"no value", "curve", "", "neither \"option = value\" nor a [command]"},
		{"a wrong value", "\nrespell = fre", "", "--respell"},
		{"a wrong number", "jobs = many", "", ".pedalogue:1: jobs: \"many\""},
		{"a wrong switch", "curve = perhaps", "", ".pedalogue:1: curve: \"perhaps\""},
		{"not itself", "config = x", "", "there is no option \"config\""},
		{"named, and not there", "", "--config gone", "--config: open gone"},
		{"named, and none wanted", "", "--config .pedalogue --no-config", "--config and --no-config exclude each other"},
	} {
		folder(t)
		writeFile(t, "easy.musicxml", easyScore("Easy"))
		writeFile(t, ".pedalogue", tt.text)
		r := typed(t, append([]string{"mark", "easy.musicxml"}, strings.Fields(tt.args)...)...)
		if r.code != exitUsage || !strings.Contains(r.err, tt.want) {
			t.Errorf("%s: exit %d, %s", tt.why, r.code, r.err)
		}
		if _, err := os.Stat("easy.pedals.musicxml"); err == nil {
			t.Errorf("%s: a copy was written", tt.why)
		}
	}
}
