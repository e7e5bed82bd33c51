package xmltext

import (
	"context"
	"iter"
	"math"
	"slices"
	"strings"
)

// A Token is a piece of a document: all of them together are its whole text.
type Token struct {
	Kind       Kind
	Start, End int         // offsets of the token; those of the start tag for the end of an element without content
	Depth      int         // how many elements are open around it; an element's own tags are not inside it
	Name       string      // of a tag, as written with its prefix
	Attrs      []Attribute // of a StartTag; valid until the next token
	Data       string      // of CharData: references replaced, line ends as "\n"
}

// Tokens yields the tokens of a document one after the other. An error, which is
// an [*Error] or that of the context, comes last; elements may be nested to any
// depth.
func Tokens(ctx context.Context, text []byte) iter.Seq2[Token, error] {
	return func(yield func(Token, error) bool) {
		l := lexer{ctx: ctx, text: shared(text), depth: math.MaxInt, all: true}
		for {
			before := len(l.open)
			kind, err := l.next()
			if err != nil {
				yield(Token{}, err)
				return
			}
			t := Token{Kind: kind, Start: l.start, End: l.pos, Depth: min(before, len(l.open))}
			switch kind {
			case EndOfText:
				return
			case StartTag:
				t.Name, t.Attrs = l.name, l.attrs
			case EndTag:
				t.Name = l.name
			case CharData:
				t.Data = l.data
			}
			if !yield(t, nil) {
				return
			}
		}
	}
}

// Elements reads the elements that begin at the given offsets of a document,
// each with all that is in it, and returns them by offset. They are read where
// they stand, with the entities and namespaces that hold there, and they live on:
// no scanner takes them back. An offset at which no element begins is left out,
// and so is one inside another element that is asked for. An error is an [*Error],
// or that of the context.
func Elements(ctx context.Context, text []byte, starts []int) (map[int]*Element, error) {
	found := make(map[int]*Element, len(starts))
	err := each(ctx, text, starts, func(s *Scanner, e *Element) {
		found[e.Start] = e
		s.kept, s.keptAttrs = len(s.elements), len(s.attrs)
	})
	if err != nil {
		return nil, err
	}
	return found, nil
}

// Each is like [Elements], but hands the elements over one after the other, in the
// order of the document; each of them lives until visit returns.
func Each(ctx context.Context, text []byte, starts []int, visit func(*Element)) error {
	return each(ctx, text, starts, func(_ *Scanner, e *Element) { visit(e) })
}

func each(ctx context.Context, text []byte, starts []int, visit func(*Scanner, *Element)) error {
	wanted := slices.Clone(starts)
	slices.Sort(wanted)
	s := NewScanner(ctx, text, math.MaxInt)
	e, err := s.Root()
	for depth := 0; err == nil && len(wanted) > 0; e, err = s.Next() {
		for e != nil && len(wanted) > 0 && wanted[0] < e.Start {
			wanted = wanted[1:]
		}
		switch {
		case e == nil:
			depth--
		case len(wanted) == 0 || wanted[0] > e.Start:
			depth++
		default:
			if err := s.Fill(e); err != nil {
				return err
			}
			visit(s, e)
		}
		if depth == 0 {
			break
		}
	}
	return err
}

// TagName returns the name in the tag with which a text begins, as written with
// its prefix; "" if the text is no more than "<".
func TagName(tag string) string {
	name := tag[min(1, len(tag)):]
	if end := strings.IndexAny(name, space+"/>"); end >= 0 {
		name = name[:end]
	}
	return name
}
