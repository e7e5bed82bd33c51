package runs

import (
	"errors"
	"hash/fnv"
	"path/filepath"
	"strconv"
	"strings"
)

// A shard is one share of a run that several runs do together. The zero value is
// all of it.
type shard struct {
	k, n int // share k of n, from 1
}

func parseShard(text string) (shard, error) {
	if text == "" {
		return shard{}, nil
	}
	first, second, found := strings.Cut(text, "/")
	k, errK := strconv.Atoi(first)
	n, errN := strconv.Atoi(second)
	if !found || errK != nil || errN != nil || k < 1 || k > n {
		return shard{}, errors.New("a share is written K/N, such as 2/8 for the second of eight")
	}
	return shard{k, n}, nil
}

// has tells whether the share holds the path. It depends on the path alone, not
// on its place in the list: the shares stay apart and complete even if one begins
// when others have written files already.
func (sh shard) has(path string) bool {
	if sh.n <= 1 {
		return true
	}
	h := fnv.New64a()
	h.Write([]byte(filepath.ToSlash(filepath.Clean(path))))
	return h.Sum64()%uint64(sh.n) == uint64(sh.k-1)
}
