package xmltext

// An Oddity is something that XML forbids and that is read all the same.
type Oddity struct {
	Offset int    // of the first one of its kind
	Count  int    // how many there are
	Text   string // what it is, for a message
}

// The kinds of oddity.
const (
	oddAttributes = iota
	oddXML
	oddLateXML
	oddInstruction
	oddDeclaration
	oddComment
	oddMark
	oddSurrogate
	oddKinds
)

var oddTexts = [oddKinds]string{
	oddAttributes:  "no white space stands between two attributes",
	oddXML:         "the XML declaration does not have the form that it should have",
	oddLateXML:     "an XML declaration stands elsewhere than at the start of the file",
	oddInstruction: "a processing instruction has a name or content that it may not have",
	oddDeclaration: "a declaration is no DOCTYPE, or does not have the form of one, or stands where none may",
	oddComment:     "a comment holds a control character",
	oddMark:        "a byte order mark stands elsewhere than at the start of the file",
	oddSurrogate:   "a reference stands for half a character; it is read as U+FFFD",
}

// oddities takes down what is odd, kind by kind.
type oddities [oddKinds]struct{ offset, count int }

func (o *oddities) note(kind, offset int) {
	if o[kind].count == 0 {
		o[kind].offset = offset
	}
	o[kind].count++
}

// Oddities returns what was read so far although XML forbids it, one entry a
// kind; nil if there was nothing.
func (s *Scanner) Oddities() []Oddity {
	var list []Oddity
	for kind, odd := range s.lex.odd {
		if odd.count > 0 {
			list = append(list, Oddity{odd.offset, odd.count, oddTexts[kind]})
		}
	}
	return list
}

// isNoCharacter reports whether r may not stand in a document. Of U+FFFD that does
// not stand for itself nothing is left to see.
func isNoCharacter(r rune) bool { return !isCharacter(r) }
