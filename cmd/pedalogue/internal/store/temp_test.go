package store

import (
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"pedalogue/cmd/pedalogue/internal/testfolder"
)

// deadProcess is the number of a process that has ended.
func deadProcess(t *testing.T) int {
	t.Helper()
	exe, err := os.Executable()
	if err != nil {
		t.Fatal(err)
	}
	c := exec.Command(exe, "-test.run", "^$")
	if err := c.Run(); err != nil {
		t.Skip("no process can be started: ", err)
	}
	return c.Process.Pid
}

func TestIsStale(t *testing.T) {
	now := time.Now()
	name := func(kind, machine string, pid int, age time.Duration, end string) string {
		return fmt.Sprintf("%s%s-%s-%d-%x-%s%s", tempPrefix, kind, machine, pid, now.Add(-age).Unix(), strings.Repeat("A", 26), end)
	}
	dead := deadProcess(t)
	for _, tt := range []struct {
		name string
		want bool
		why  string
	}{
		{name(tempNew, machine(), os.Getpid(), 0, ""), false, "we have it in hand"},
		{name(tempNew, machine(), os.Getppid(), time.Hour, ""), false, "its owner runs"},
		{name(tempNew, machine(), dead, 0, ""), isAlive(os.Getpid()) && !isAlive(dead), "its owner was killed"},
		{name(tempTry, machine(), dead, 0, "-\u00e9a"), !isAlive(dead), "likewise"},
		{name(tempOld, machine(), dead, 23*time.Hour, ""), false, "it may be all that is left of a result"},
		{name(tempOld, machine(), dead, 25*time.Hour, ""), true, "nobody has wanted it for a day"},
		{name(tempNew, "00000000", dead, 23*time.Hour, ""), false, "what runs on another machine is not known"},
		{name(tempNew, "00000000", dead, 25*time.Hour, ""), true, "nothing is in hand for a day"},
		{name(tempNew, machine(), os.Getpid(), 25*time.Hour, ""), true, "the number was given to us again"},
		{tempPrefix + "seals", false, "not of this kind"},
		{"x" + name(tempNew, machine(), dead, 0, ""), false, "another's"},
		{filepath.Base(temporary("a.xml", tempNew)), false, "just made"},
	} {
		if got := isStale(tt.name, now); got != tt.want {
			t.Errorf("%s: stale %v, want %v (%s)", tt.name, got, tt.want, tt.why)
		}
	}
}

// A folder is swept once in a run, and only where something is written.
func TestSweep(t *testing.T) {
	old := tempPrefix + "new-00000000-4-1-" + strings.Repeat("A", 26)
	testfolder.Enter(t, "in/"+old, "out/"+old, "out/"+old+".d/"+old)
	sys := Disk()
	save := func() {
		t.Helper()
		if err := sys.Save(Target{Path: "out/a.xml"}, []byte("new"), nil, Reading{}); err != nil {
			t.Fatal(err)
		}
	}
	save()
	if got := testfolder.Contents(t); strings.Contains(got, "out/"+old+"=") || !strings.Contains(got, "in/"+old) || !strings.Contains(got, "d/"+old) {
		t.Errorf("there are %s", got)
	}
	testfolder.Write(t, "out/"+old, "again")
	save()
	if _, err := os.Lstat("out/" + old); err != nil {
		t.Error("the folder was swept twice")
	}
}
