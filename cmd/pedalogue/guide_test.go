package main

import (
	"os"
	"strings"
	"testing"
)

// Command lines as newcomers type them, and what they are told. Each has its words
// in what is printed, and where it is wrong, all of them on standard error.
func TestCommandLines(t *testing.T) {
	for _, tt := range []struct {
		line string // its words, at single blanks; ␣ is a blank within one
		code int
		want string // parts of what is said, at |
	}{
		{"", 2, "usage: pedalogue COMMAND|commands:|mark|completion"},
		{"--help", 0, "usage: pedalogue COMMAND|--help-all"},
		{"-h", 0, "usage: pedalogue COMMAND"},
		{"help", 0, "usage: pedalogue COMMAND"},
		{"help mark", 0, "usage: pedalogue mark|options that matter first|--help-all lists"},
		{"mark help", 0, "usage: pedalogue mark"},
		{"mark -h", 0, "usage: pedalogue mark"},
		{"mark --help-all", 0, "\nplan:\n|\nmany scores:\n|--existing"},
		{"help gliss", 0, "usage: pedalogue gliss"},
		{"help nothing", 2, `there is no command "nothing"|pedalogue --help lists the commands`},
		{"help mrak", 2, "did you mean mark?"},
		{"version", 0, "pedalogue "},
		{"--version", 0, "pedalogue "},
		{"-v", 0, "pedalogue "},
		{"mark --version", 0, "pedalogue "},
		{"mark -v", 0, "pedalogue "},
		{"completion bash", 0, "bash completion"},
		{"completion fish", 0, "fish completion"},
		{"completion zsh", 0, "#compdef pedalogue"},
		{"man", 0, ".TH PEDALOGUE"},
		{"man mark", 0, ".TH PEDALOGUE|.SH MANY SCORES"},
		{"man mrak", 2, "did you mean mark?"},

		{"mrak easy.musicxml", 2, `there is no command "mrak"|did you mean mark?`},
		{"Mark easy.musicxml", 2, "did you mean mark?"},
		{"stirp easy.musicxml", 2, "did you mean strip?"},
		{"loo easy.musicxml", 2, "did you mean look?"},
		{"key easy.musicxml", 2, "did you mean keys?"},
		{"glissando C9", 2, `there is no command "glissando"`},
		{"easy.musicxml", 2, "the command comes first: pedalogue mark easy.musicxml"},
		{"gone.mxl other.mxl", 2, "the command comes first: pedalogue mark gone.mxl other.mxl"},
		{"season", 2, "the command comes first: pedalogue mark season"},
		{"with␣space.musicxml", 2, "pedalogue mark 'with space.musicxml'"},
		{"--out o easy.musicxml", 2, "options stand behind the command: pedalogue mark --out"},
		{"--jobs 2", 2, "options stand behind the command: pedalogue mark --jobs"},
		{"--report json mark --json easy.musicxml", 0, `"score":"easy.musicxml"`},
		{"--nothing", 2, "there is no option --nothing|pedalogue --help lists the commands"},

		{"mark --otu o easy.musicxml", 2, "there is no option --otu|did you mean --out?"},
		{"mark --resepll free easy.musicxml", 2, "did you mean --respell?"},
		{"mark --repsell-notes none easy.musicxml", 2, "did you mean --respell-notes?"},
		{"mark --colour always easy.musicxml", 2, "did you mean --color?"},
		{"mark --color sometimes easy.musicxml", 2, `"sometimes" is none of auto, always and never`},
		{"mark --fail-on errors easy.musicxml", 2, "did you mean error?"},
		{"check --fail-on errr easy.musicxml", 2, "did you mean error?"},
		{"keys --choose Eb-flat easy.musicxml", 2, "no key from seven flats to seven sharps"},
		{"keys --only-harp easy.musicxml", 2, "--only-harp goes with --choose"},
		{"keys --choose␣easy.musicxml", 2, "there is no option"},
		{"gliss", 2, "nothing is asked for|what can be asked for"},
		{"gliss H7", 2, `"H7" is not understood|what can be asked for`},
		{"gliss C9 --in easy.musicxml", 2, "--in and --at go together"},
		{"schema mrak", 2, "did you mean mark?"},
		{"mark --config gone easy.musicxml", 2, "--config: open gone"},
		{"mark --jsn easy.musicxml", 2, "did you mean --json?"},
		{"mark --nothing-like-it easy.musicxml", 2, "there is no option --nothing-like-it|pedalogue mark --help-all lists the options"},
		{"look --existing keep easy.musicxml", 2, "there is no option --existing|it is an option of mark"},
		{"strip --report none easy.musicxml", 2, "it is an option of look, mark, check, keys, reduce and part"},
		{"mark --within 3 easy.musicxml", 2, "it is an option of keys"},
		{"mark --output o easy.musicxml", 2, "that is --out FOLDER"},
		{"mark --html easy.musicxml", 2, "that is --report html"},
		{"mark --dry-run easy.musicxml", 2, "that is --diff"},
		{"mark --overwrite easy.musicxml", 2, "that is --write"},
		{"mark --recursive season", 2, "not needed: folders are searched"},
		{"mark --threads 4 easy.musicxml", 2, "that is --jobs"},
		{"reduce --apply final easy.musicxml", 2, "equals sign: --apply=final"},
		{"mark -x easy.musicxml", 2, "there is no option -x|--help-all"},
		{"mark -out o easy.musicxml", 2, "there is no option -out|did you mean --out?"},
		{"mark -help", 2, "did you mean --help?"},
		{"mark -respell=free easy.musicxml", 2, "did you mean --respell?"},
		{"look -odd.musicxml", 2, "-odd.musicxml is read as options|a file of that name is ./-odd.musicxml"},
		{"strip --resume easy.musicxml", 2, "there is no option --resume|it is an option of mark, reduce and part"},
		{"mark -score.musicxml", 2, "a file of that name is ./-score.musicxml"},

		{"mark --out", 2, "--out needs a value|write the copies into this FOLDER"},
		{"mark --jobs many easy.musicxml", 2, `--jobs: "many": a whole number is wanted`},
		{"mark --jobs 0 easy.musicxml", 2, "at least one score at a time"},
		{"mark --write=maybe easy.musicxml", 2, `--write: "maybe": must be true or false`},
		{"mark --memory lots easy.musicxml", 2, `--memory: "lots": a size is a number of bytes`},
		{"mark --respell balance easy.musicxml", 2, `"balance"|did you mean balanced?`},
		{"mark --side belwo easy.musicxml", 2, "did you mean below?"},
		{"mark --language english easy.musicxml", 2, "did you mean en?|english"},
		{"mark --existing kep easy.musicxml", 2, "did you mean keep?"},
		{"mark --implied offf easy.musicxml", 2, "did you mean off?"},
		{"mark --report htm easy.musicxml", 2, "did you mean html?"},
		{"mark --report text, html easy.musicxml", 2, "a report is missing behind the comma|without blanks it is one list: --report text,html"},
		{"mark --sort troubles easy.musicxml", 2, "did you mean trouble?"},
		{"mark --findings leaps=off easy.musicxml", 2, `"leaps" is no kind of finding|did you mean leap?`},
		{"mark --limit right-hand-lo=A2 easy.musicxml", 2, "did you mean right-hand-low?"},
		{"mark --start C easy.musicxml", 2, "--start: "},
		{"mark --shard 9 easy.musicxml", 2, "a share is written K/N"},
		{"mark --null easy.musicxml", 2, "--null is about --files-from"},
		{"mark --out o --write easy.musicxml", 2, "--out and --write exclude each other"},
		{"demo easy.musicxml", 2, "the demo takes no file"},

		{"mark gone.musicxml", 3, "gone.musicxml: there is no such file or folder\n"},
		{"mark esay.musicxml", 3, "there is no such file or folder|did you mean easy.musicxml?"},
		{"mark easy.mxl", 3, "did you mean easy.musicxml?"},
		{"mark season/autum", 3, "did you mean season/autumn?"},
		{"mark with space.musicxml", 3, "with space.musicxml: was cut into pieces at its spaces|a name with spaces needs quotes: 'with space.musicxml'"},
		{"mark https://example.org/easy.musicxml", 3, "download it first"},
		{"mark q*.musicxml", 3, "no file fits this pattern"},
		{"mark empty", 3, "no scores in this folder|scores end in"},
		{"mark --part Piano easy.musicxml", 3, `no part is called "Piano"|the parts are P1 (Harp)`},
		{"mark --part 3 easy.musicxml", 3, `no part is called "3"|the parts are P1 (Harp)`},
		{"mark --part Hrap easy.musicxml", 3, `did you mean --part "Harp"?|the parts are P1 (Harp)`},
		{"mark flute.musicxml", 3, "there is no harp in it|--part takes one of them"},
		{"look --part Flute flute.musicxml", 0, "nothing says that P1 (Flute) is a harp or a keyboard|not-for-harp"},
		{"mark --diff easy.musicxml easy.musicxml ./easy.musicxml", 0, "--- easy.musicxml"},
	} {
		t.Run(tt.line, func(t *testing.T) {
			folder(t, "empty/")
			writeFile(t, "easy.musicxml", easyScore("Easy"))
			writeFile(t, "with space.musicxml", easyScore("Space"))
			writeFile(t, "-odd.musicxml", easyScore("Odd"))
			writeFile(t, "season/autumn/a.musicxml", easyScore("A"))
			writeFile(t, "flute.musicxml", strings.ReplaceAll(easyScore("Flute"), "Harp", "Flute"))
			var args []string
			for word := range strings.FieldsSeq(tt.line) {
				args = append(args, strings.ReplaceAll(word, "␣", " "))
			}
			before := tree(t, ".")
			r := typed(t, args...)
			said := r.err
			if tt.code == 0 {
				said = r.out
			}
			for part := range strings.SplitSeq(tt.want, "|") {
				if !strings.Contains(said, part) {
					t.Errorf("it does not say %q, but\n%s", part, said)
				}
			}
			if r.code != tt.code {
				t.Errorf("exit %d, want %d", r.code, tt.code)
			}
			if n := strings.Count(r.err, "hint: "); n > 1 || tt.code == 2 && len(args) > 0 && n == 0 && !strings.Contains(tt.want, "exclude") {
				t.Errorf("%d hints:\n%s", n, r.err)
			}
			if strings.Count(r.out, "--- easy.musicxml") > 1 {
				t.Error("a file that is named more than once is done more than once")
			}
			if tt.code == 2 && len(tree(t, ".")) != len(before) {
				t.Error("something was written, though the command line is wrong")
			}
		})
	}
}

// A file that is called like a command or an option is a file where it stands as one.
func TestFilesWithNamesOfOurs(t *testing.T) {
	folder(t)
	for _, name := range []string{"help", "-score.musicxml", "mark"} {
		writeFile(t, name, easyScore(name))
	}
	typed(t, "look", "help").want(t, exitDone, "title          help", "")
	typed(t, "look", "./-score.musicxml").want(t, exitDone, "title          -score.musicxml", "")
	typed(t, "look", "--", "-score.musicxml").want(t, exitDone, "title          -score.musicxml", "")
	typed(t, "mark", "--report", "none", "mark").want(t, exitDone, "", "")
	if _, err := os.Stat("mark.pedals"); err != nil {
		t.Error(err)
	}
}
