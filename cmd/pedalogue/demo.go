package main

import (
	_ "embed"
	"fmt"
	"os"
	"path/filepath"
	"strings"

	"github.com/spf13/pflag"

	"pedalogue/cmd/pedalogue/internal/cli"
	"pedalogue/cmd/pedalogue/internal/options"
	"pedalogue/cmd/pedalogue/internal/planned"
	"pedalogue/cmd/pedalogue/internal/store"
	"pedalogue/report/plain"
)

// demoScore is a short piece for harp, invented for this program: two staves, a
// repeat, key changes, a glissando, and a chord that no harp can play.
//
//go:embed demo.musicxml
var demoScore []byte

const demoHelp = `usage: pedalogue demo [--out FOLDER]

Writes a short score that is built in, marks it and prints the report: the score
as demo.musicxml, its marked copy as demo.pedals.musicxml, the report as a page,
demo.pedals.html, and for programs as demo.pedals.json.

example: pedalogue demo --out /tmp/ferry

exit: as mark, which is 1 here, since one chord of the piece is for no harp
`

// demoCommand marks a score that is built in.
func demoCommand() cli.Command {
	var folder string
	return cli.Command{
		Name: "demo", Short: "mark a small score that is built in, to see what comes out", Help: demoHelp,
		Groups: []cli.Group{{Title: options.GroupResults, Options: []cli.Options{func(f *pflag.FlagSet) (take func() error) {
			f.StringVar(&folder, "out", "pedalogue-demo", "write into this `FOLDER`")
			return nil
		}}}},
		Run: func(c *cli.Call) int {
			if len(c.Args) > 0 {
				return c.Usage(fmt.Errorf("the demo takes no file, and %q was given", c.Args[0]))
			}
			score := filepath.Join(folder, "demo.musicxml")
			if err := os.MkdirAll(folder, 0o777); err != nil {
				return c.Fail(store.NewError(folder, err, ""))
			}
			if err := c.Sys.Save(store.Target{Path: score, Within: folder}, demoScore, nil, store.Reading{}); err != nil {
				return c.Fail(err)
			}
			fmt.Fprintf(c.Out, "next: open %s\n\n", plain.Line(strings.TrimSuffix(score, ".musicxml")+planned.CopyMark+".html"))
			return dispatch([]string{"mark", "--report", "text,json,html", score}, c.Streams)
		},
	}
}
