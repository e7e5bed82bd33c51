package main

import (
	"bytes"
	"encoding/json"
	"fmt"
	"os"
	"strings"
	"testing"
	"time"

	"github.com/spf13/pflag"

	"pedalogue/cmd/pedalogue/internal/opening"
	"pedalogue/cmd/pedalogue/internal/options"
	"pedalogue/cmd/pedalogue/internal/runs"
	"pedalogue/cmd/pedalogue/internal/store"
	"pedalogue/pedal"
)

// asCommand, in the environment, makes the test binary be the program, so that
// tests can run it as a process of its own.
const asCommand = "PEDALOGUE_TEST_AS_COMMAND"

func TestMain(m *testing.M) {
	switch os.Getenv(asCommand) {
	case "run":
		main()
	case "hold":
		holdAfterInterrupt()
	}
	os.Exit(m.Run())
}

// holdAfterInterrupt says when it can be interrupted, and after the first
// interrupt goes on as if it had work in hand.
func holdAfterInterrupt() {
	ctx, stop := runs.Interruptible()
	defer stop()
	fmt.Println("ready")
	<-ctx.Done()
	// What takes signals back runs beside us.
	for time.Sleep(50 * time.Millisecond); ; time.Sleep(time.Hour) {
		fmt.Println("interrupted")
	}
}

// harpScore is an invented score for a harp: a measure of quarter notes or chords
// such as "C4 E4+G4 F#4 C5" for each text.
func harpScore(title string, measures ...string) string {
	var b strings.Builder
	fmt.Fprintf(&b, "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n<score-partwise version=\"4.0\">\n"+
		"<work><work-title>%s</work-title></work>\n"+
		"<part-list><score-part id=\"P1\"><part-name>Harp</part-name></score-part></part-list>\n<part id=\"P1\">\n", title)
	for i, text := range measures {
		fmt.Fprintf(&b, "<measure number=\"%d\">\n", i+1)
		if i == 0 {
			b.WriteString("<attributes><divisions>1</divisions><time><beats>4</beats><beat-type>4</beat-type></time></attributes>\n")
		}
		for _, chord := range strings.Fields(text) {
			for j, pitch := range strings.Split(chord, "+") {
				b.WriteString("<note>")
				if j > 0 {
					b.WriteString("<chord/>")
				}
				alter := strings.Count(pitch, "#") - strings.Count(pitch, "b")
				fmt.Fprintf(&b, "<pitch><step>%c</step><alter>%d</alter><octave>%c</octave></pitch><duration>1</duration><type>quarter</type></note>\n",
					pitch[0], alter, pitch[len(pitch)-1])
			}
		}
		b.WriteString("</measure>\n")
	}
	b.WriteString("</part>\n</score-partwise>\n")
	return b.String()
}

// easyScore can be played; it has a few changes.
func easyScore(title string) string {
	return harpScore(title, "C4 E4+G4 F#4 C5", "Bb4 Eb5 F4 D4", "B4 E5 F#4 D#4")
}

// hardScore has a chord of four neighbours, for which no strings are left.
func hardScore(title string) string { return harpScore(title, "B3+C4+C#4+D4 E4 F4 G4") }

// A ran is what a command has printed and returned.
type ran struct {
	code     int
	out, err string
}

func typed(t *testing.T, args ...string) ran { return typedOn(t, disk(), "", args...) }

func typedOn(t *testing.T, sys store.System, stdin string, args ...string) ran {
	t.Helper()
	var out, errs bytes.Buffer
	code := dispatch(args, runs.Streams{In: strings.NewReader(stdin), Out: &out, Err: &errs, Sys: sys, Explain: opening.Explained})
	return ran{code, out.String(), errs.String()}
}

// want checks the exit code, and parts of what was printed.
func (r ran) want(t *testing.T, code int, out, errs string) {
	t.Helper()
	if r.code != code || !strings.Contains(r.out, out) || !strings.Contains(r.err, errs) {
		t.Fatalf("exit %d, want %d; printed\n%s\nwant %q; said\n%s\nwant %q", r.code, code, r.out, out, r.err, errs)
	}
}

// season lays out a folder of scores: good ones in two folders, a hard one, and
// three that cannot be read.
func season(t *testing.T) {
	t.Helper()
	folder(t)
	for i := range 6 {
		writeFile(t, fmt.Sprintf("in/easy%d.musicxml", i), easyScore(fmt.Sprint("Easy ", i)))
		writeFile(t, fmt.Sprintf("in/more/easy%d.xml", i), easyScore(fmt.Sprint("More ", i)))
	}
	writeFile(t, "in/hard.musicxml", hardScore("Hard"))
	writeFile(t, "in/cut.musicxml", easyScore("Cut")[:600])
	writeFile(t, "in/no-harp.musicxml", strings.ReplaceAll(easyScore("Flute"), "Harp", "Flute"))
	writeFile(t, "in/more/nothing.xml", "")
}

// longAgo is a time long ago.
func longAgo() time.Time { return time.Date(1999, 1, 1, 0, 0, 0, 0, time.UTC) }

// scoreOf returns the path of a JSON report.
func scoreOf(t *testing.T, line string) string {
	t.Helper()
	var doc struct{ Score string }
	if err := json.Unmarshal([]byte(line), &doc); err != nil {
		t.Fatal(err)
	}
	return doc.Score
}

func TestTimeFlags(t *testing.T) {
	for _, tt := range []struct {
		args string
		want pedal.Times
		fail string // in the error; "" for none
	}{
		{args: "", want: pedal.Options{}.Times()},
		{args: "--foot-time 0 --move-time 0.3"},
		{args: "--foot-time 0.1", want: pedal.Times{Foot: 100 * time.Millisecond, Move: 100 * time.Millisecond, Sounding: 100 * time.Millisecond}},
		{args: "--move-time 0.7", want: pedal.Times{Foot: 500 * time.Millisecond, Move: 500 * time.Millisecond, Sounding: 100 * time.Millisecond}},
		{args: "--move-time 0 --sounding-time 0", want: pedal.Times{Foot: 500 * time.Millisecond}},
		{args: "--foot-time 0.4 --move-time 0.5", fail: "--move-time: 0.5 s is longer than the 0.4 s of --foot-time"},
		{args: "--foot-time 0.5 --move-time 0.6", fail: "--move-time"},
		{args: "--sounding-time -1", fail: "--sounding-time"},
		{args: "--move-time soon", fail: `--move-time: "soon" is not a number of seconds`},
	} {
		var s options.Settings
		f := pflag.NewFlagSet("mark", pflag.ContinueOnError)
		take := options.Plan(f, &s.Wants)
		if err := f.Parse(strings.Fields(tt.args)); err != nil {
			t.Fatal(err)
		}
		err := take()
		if tt.fail != "" {
			if err == nil || !strings.Contains(err.Error(), tt.fail) {
				t.Errorf("%s: the error is %v, want %q", tt.args, err, tt.fail)
			}
			continue
		}
		if got := s.Wants.Plan.Options.Times(); err != nil || got != tt.want {
			t.Errorf("%s: %+v (%v), want %+v", tt.args, got, err, tt.want)
		}
	}
}
