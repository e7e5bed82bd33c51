//go:build unix

package main

import (
	"bufio"
	"errors"
	"io"
	"os"
	"os/exec"
	"strings"
	"syscall"
	"testing"
	"time"
)

// A process is the test binary as a program of its own.
type process struct {
	*exec.Cmd
	in       io.WriteCloser
	out, err *bufio.Reader
}

func start(t *testing.T, as string, args ...string) *process {
	t.Helper()
	exe, err := os.Executable()
	if err != nil {
		t.Fatal(err)
	}
	p := &process{Cmd: exec.Command(exe, args...)}
	p.Env = append(os.Environ(), asCommand+"="+as)
	var errs [3]error
	var out, stderr io.ReadCloser
	p.in, errs[0] = p.StdinPipe()
	out, errs[1] = p.StdoutPipe()
	stderr, errs[2] = p.StderrPipe()
	p.out, p.err = bufio.NewReader(out), bufio.NewReader(stderr)
	if err := errors.Join(errs[0], errs[1], errs[2], p.Start()); err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { p.Process.Kill(); p.Wait() })
	return p
}

// until reads lines up to one that holds the text.
func until(t *testing.T, r *bufio.Reader, text string) {
	t.Helper()
	for {
		line, err := r.ReadString('\n')
		if strings.Contains(line, text) {
			return
		}
		if err != nil {
			t.Fatalf("no line with %q: %v", text, err)
		}
	}
}

// The second of three scores is standard input, which does not come: the run
// stands there until it is interrupted.
func TestInterrupt(t *testing.T) {
	for _, sig := range []os.Signal{os.Interrupt, syscall.SIGTERM} {
		t.Run(sig.String(), func(t *testing.T) {
			folder(t)
			writeFile(t, "a.xml", easyScore("A"))
			writeFile(t, "b.xml", easyScore("B"))
			p := start(t, "run", "mark", "--jobs", "1", "--report", "text", "--log", "json", "a.xml", "-", "b.xml")
			until(t, p.err, `"msg":"done","score":"a.xml"`)
			time.Sleep(20 * time.Millisecond) // until it waits
			if err := p.Process.Signal(sig); err != nil {
				t.Fatal(err)
			}
			said, _ := io.ReadAll(p.err)
			printed, _ := io.ReadAll(p.out)
			err := p.Wait()
			if p.ProcessState.ExitCode() != exitInterrupted {
				t.Errorf("ended with %v, want exit %d", err, exitInterrupted)
			}
			if !strings.Contains(string(said), "interrupted: 1 of 3 scores are done") {
				t.Errorf("says %q", said)
			}
			if !strings.Contains(string(printed), "1 score and 3 changes") {
				t.Errorf("no summary of what is done: %q", printed)
			}
			if files := tree(t, "."); len(files) != 4 || files["a.pedals.xml"] == "" {
				t.Errorf("%d files, want a copy of the first score alone", len(files))
			}
		})
	}
}

func TestSecondInterruptEndsAtOnce(t *testing.T) {
	p := start(t, "hold")
	until(t, p.out, "ready")
	p.Process.Signal(os.Interrupt)
	until(t, p.out, "interrupted")
	p.Process.Signal(os.Interrupt)
	p.Wait()
	status, ok := p.ProcessState.Sys().(syscall.WaitStatus)
	if !ok || !status.Signaled() || status.Signal() != syscall.SIGINT {
		t.Errorf("ended as %v, want by the signal", p.ProcessState)
	}
}

// A run in the background of a script has interrupts ignored, and goes on.
func TestIgnoredInterrupt(t *testing.T) {
	sh, err := exec.LookPath("sh")
	if err != nil {
		t.Skip("no sh here")
	}
	exe, err := os.Executable()
	if err != nil {
		t.Fatal(err)
	}
	c := exec.Command(sh, "-c", `trap "" INT; exec "$0"`, exe)
	c.Env = append(os.Environ(), asCommand+"=hold")
	out, err := c.StdoutPipe()
	if err != nil {
		t.Fatal(err)
	}
	if err := c.Start(); err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { c.Process.Kill(); c.Wait() })
	lines := bufio.NewReader(out)
	until(t, lines, "ready")
	c.Process.Signal(os.Interrupt)
	c.Process.Signal(syscall.SIGTERM)
	until(t, lines, "interrupted")
	c.Process.Signal(os.Interrupt)
	time.Sleep(20 * time.Millisecond)
	c.Process.Signal(syscall.SIGTERM)
	c.Wait()
	status, ok := c.ProcessState.Sys().(syscall.WaitStatus)
	if !ok || !status.Signaled() || status.Signal() != syscall.SIGTERM {
		t.Errorf("ended as %v, want by the signal that was not ignored", c.ProcessState)
	}
}
