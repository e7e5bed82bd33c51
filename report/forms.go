package report

import "io"

// A Form is one form in which reports on plans are written. The table of them is
// Forms: whoever adds one adds its row there.
type Form struct {
	Name string // as it is asked for, "html"
	// Files are what is written of one score; none for a form that is only printed.
	Files []File
	// Printed prints the file of a single score where no other form is asked for.
	Printed bool
	// Summary is what is written of all scores of a run; nil for none.
	Summary *SummaryFile
}

// A File is a report on one score.
type File struct {
	Ext   string // what its name ends in, behind the name of the marked copy without its extension: ".html"
	Write func(w io.Writer, s *Score) error
}

// A SummaryFile is a report on many scores.
type SummaryFile struct {
	Ext   string // what its name ends in
	Write func(w io.Writer, b Batch) error
}

// Forms returns the table of all forms, in the order in which people are told of
// them. The text is printed, see WriteText and WriteBatchText.
func Forms() []Form {
	return []Form{
		{Name: "text"},
		{Name: "json", Files: []File{{".json", WriteJSON}}},
		{Name: "html", Files: []File{{".html", WriteHTML}}, Summary: &SummaryFile{".html", WriteIndexHTML}},
		{Name: "sheet", Printed: true, Files: []File{{".sheet.txt", WriteSheet}}, Summary: &SummaryFile{".sheets.html", WriteSheetsHTML}},
		{Name: "csv", Files: []File{{".changes.csv", table(WriteChangesCSV)}, {".findings.csv", table(WriteFindingsCSV)}}, Summary: &SummaryFile{".csv", WriteBatchCSV}},
	}
}

// table writes the table of one score.
func table(write func(w io.Writer, scores ...*Score) error) func(io.Writer, *Score) error {
	return func(w io.Writer, s *Score) error { return write(w, s) }
}
