package store

import (
	"crypto/rand"
	"crypto/sha256"
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"sync"
	"time"
)

// tempPrefix begins the name of every temporary file.
const tempPrefix = ".pedalogue-"

// The kinds of temporary files: what is to get its name, what keeps a replaced file
// until all is in place, and what only tries a file system out.
const (
	tempNew = "new"
	tempOld = "old"
	tempTry = "try"
)

// temporary is a new name in the folder of a path. It tells its owner, by machine
// and process, and when it was made.
func temporary(path, kind string) string {
	return filepath.Join(filepath.Dir(path),
		fmt.Sprintf("%s%s-%s-%d-%x-%s", tempPrefix, kind, machine(), os.Getpid(), time.Now().Unix(), rand.Text()))
}

// tempName takes such names apart. It is made when it is wanted, since a program
// should not wait for it when it starts.
var tempName = sync.OnceValue(func() *regexp.Regexp {
	return regexp.MustCompile(`^\.pedalogue-(new|old|try)-([0-9a-f]{8})-([0-9]{1,9})-([0-9a-f]{1,15})-[A-Z2-7]{26}(-.*)?$`)
})

// longKept is when a temporary file is nobody's any more, whatever became of its
// owner: it lives for moments.
const longKept = 24 * time.Hour

// isStale tells whether a file is a temporary one whose owner has left it behind. What
// keeps a replaced file is left for a day: it may be the only one that there is.
func isStale(name string, now time.Time) bool {
	if !strings.HasPrefix(name, tempPrefix) {
		return false
	}
	m := tempName().FindStringSubmatch(name)
	if m == nil {
		return false
	}
	made, err := strconv.ParseInt(m[4], 16, 64)
	if err == nil && now.Sub(time.Unix(made, 0)) > longKept {
		return true
	}
	pid, err := strconv.Atoi(m[3])
	return err == nil && m[1] != tempOld && m[2] == machine() && pid != os.Getpid() && !isAlive(pid)
}

// machine stands for the machine that we run on, or the container: where process
// numbers mean what they mean here.
var machine = sync.OnceValue(func() string {
	name, _ := os.Hostname()
	space, _ := os.Readlink("/proc/self/ns/pid")
	return fmt.Sprintf("%x", sha256.Sum256([]byte(name+"\n"+space)))[:8]
})

// A sweeper removes what killed runs have left behind, once from each folder.
type sweeper struct{ folders sync.Map }

// sweep removes stale temporary files from a folder, before the first result goes
// there. What cannot be removed does no harm.
func (sys System) sweep(dir string) {
	if sys.swept == nil {
		return
	}
	if _, again := sys.swept.folders.LoadOrStore(dir, true); again {
		return
	}
	entries, err := os.ReadDir(dir)
	if err != nil {
		return
	}
	now := time.Now()
	for _, e := range entries {
		if e.Type().IsRegular() && isStale(e.Name(), now) {
			sys.Remove(filepath.Join(dir, e.Name()))
		}
	}
}
