// Package textdiff shows the edits of a document as a unified diff, to be read by
// people.
package textdiff
