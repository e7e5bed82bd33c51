package rows

import (
	"pedalogue/cmd/pedalogue/internal/build"
	"pedalogue/musicxml"
	"pedalogue/report"
)

// Head begins the report on a score that was read from path.
func Head(path string, score *musicxml.Score) report.Head {
	h := head(path)
	h.Title = score.Title
	h.PlayingOrder = &report.PlayingOrder{Written: len(score.Measures), Played: len(score.Order)}
	return h
}

// Failed is all that is reported of a score that could not be done.
func Failed(path string, err error) report.Head {
	h := head(path)
	h.Error = err.Error()
	return h
}

func head(path string) report.Head {
	return report.Head{Format: report.Format, Tool: "pedalogue", Version: build.Version(), Path: path}
}

// Warnings are those about reading a score; nil for none.
func Warnings(list []musicxml.Warning) []report.Warning {
	var rows []report.Warning
	for _, w := range list {
		rows = append(rows, report.Warning(w))
	}
	return rows
}
