// Package xmltext cuts XML text into tags, and remembers where each stands.
//
// One tokenizer serves all: [New] reads a whole document, element by element,
// [Document.Element] reads a piece of one again, [Document.Comments] lists its
// comments, and [Attr] looks for one value. What is well formed is told while a
// document is read; offsets are bytes of the text, from 0, everywhere.
//
// The text is UTF-8 without byte order mark. It is shared, not copied: nobody may
// change it while names, values or texts taken from it are in use.
package xmltext
