package work

import (
	"bufio"
	"encoding/json"
	"errors"
	"os"

	"pedalogue/cmd/pedalogue/internal/store"
)

// A manifest is a list, one JSON object a line, of what became of each score. It is
// written as scores are done, behind what earlier runs have written: the last line of
// a score counts. nil is none.
type manifest struct {
	file *os.File
	path string
	err  error // the first
}

// A manifestLine is one line of a manifest.
type manifestLine struct {
	Score   string      `json:"score"` // as given
	State   string      `json:"state"` // "done", "failed", "skipped": done by an earlier run, or "interrupted"
	Output  string      `json:"output,omitempty"`
	Outputs []string    `json:"outputs,omitempty"` // in place of output, where there are several
	Exit    int         `json:"exit"`              // the exit code for this score alone
	Error   string      `json:"error,omitempty"`
	Changed *Difference `json:"changed,omitempty"` // from what an earlier run has written; absent where it is the same, or unknown
}

// openManifest opens the file of --manifest. A file that is there already and is no
// manifest is left alone.
func (w *Work) openManifest() (*manifest, error) {
	if w.record == "" {
		return nil, nil
	}
	f, err := os.OpenFile(w.record, os.O_RDWR|os.O_CREATE|os.O_APPEND, 0o666)
	if err != nil {
		return nil, store.NewError(w.record, err, "")
	}
	line, _ := bufio.NewReader(f).ReadBytes('\n')
	var first manifestLine
	if len(line) > 0 && (json.Unmarshal(line, &first) != nil || first.State == "") {
		return nil, errors.Join(store.NewError(w.record, errors.New("is there already, and is no manifest"), "choose another name"), f.Close())
	}
	return &manifest{file: f, path: w.record}, nil
}

// add writes what became of a score.
func (m *manifest) add(path string, o done) {
	line := manifestLine{Score: path, State: "done", Output: o.output, Exit: o.Code}
	if o.outputs != nil {
		line.Output, line.Outputs = "", o.outputs
	}
	switch {
	case o.Err != nil:
		line.State, line.Error = "failed", o.Err.Error()
	case o.kept:
		line.State = "skipped"
	}
	if o.change != (Difference{}) {
		line.Changed = &o.change
	}
	m.write(line)
}

// left writes that a score was not done, as the run was interrupted.
func (m *manifest) left(path string) {
	m.write(manifestLine{Score: path, State: "interrupted", Exit: 130})
}

func (m *manifest) write(line manifestLine) {
	if m == nil || m.err != nil {
		return
	}
	text, err := json.Marshal(line)
	if err == nil {
		_, err = m.file.Write(append(text, '\n'))
	}
	m.err = err
}

// close brings the manifest to the disk.
func (m *manifest) close() error {
	if m == nil {
		return nil
	}
	err := errors.Join(m.err, m.file.Sync(), m.file.Close())
	if err != nil {
		return store.NewError(m.path, err, "")
	}
	return nil
}
