package runs

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"

	"pedalogue/cmd/pedalogue/internal/near"
	"pedalogue/cmd/pedalogue/internal/store"
)

// missing is what the first of the arguments stands for, which is no file: an error
// with a hint at what may have been meant. It may be a piece of a name with spaces;
// pieces is how many arguments there are of it.
func missing(args []string, err error) (in store.Source, pieces int) {
	path, hint := args[0], ""
	if !errors.Is(err, fs.ErrNotExist) {
		return store.Source{Path: path, Err: store.NewError(path, err, "")}, 1
	}
	for n := 2; n <= len(args); n++ {
		whole := strings.Join(args[:n], " ")
		if _, err := os.Stat(whole); err == nil {
			path, pieces, hint = whole, n, fmt.Sprintf("a name with spaces needs quotes: '%s'", whole)
		}
	}
	if pieces > 0 {
		err = errors.New("was cut into pieces at its spaces")
	} else {
		pieces, hint = 1, hintMissing(path)
	}
	return store.Source{Path: path, Err: store.NewError(path, err, hint)}, pieces
}

// hintMissing is a hint at what may have been meant by a path that leads nowhere.
func hintMissing(path string) string {
	if scheme, _, is := strings.Cut(path, "://"); is && len(scheme) > 1 && !strings.ContainsAny(scheme, `/\`) {
		return "nothing is fetched from the network: download it first, and name the file"
	}
	dir := filepath.Dir(path)
	entries, err := os.ReadDir(dir)
	if err != nil || len(entries) > 10_000 {
		return ""
	}
	var names []string
	stem := strings.TrimSuffix(filepath.Base(path), filepath.Ext(path))
	for _, e := range entries {
		name := e.Name()
		if isHidden(name) || !e.IsDir() && !IsScoreName(name) {
			continue
		}
		names = append(names, name)
		if strings.EqualFold(strings.TrimSuffix(name, filepath.Ext(name)), stem) && !e.IsDir() {
			return fmt.Sprintf("did you mean %s?", filepath.Join(dir, name))
		}
	}
	if name := near.Word(filepath.Base(path), names); name != "" {
		return fmt.Sprintf("did you mean %s?", filepath.Join(dir, name))
	}
	return ""
}
