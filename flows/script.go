package flows

import (
	"errors"
	"fmt"
	"strings"
	"unicode"
	"unicode/utf8"

	"github.com/goccy/go-yaml"
	"github.com/goccy/go-yaml/ast"
	"github.com/goccy/go-yaml/lexer"
	"github.com/goccy/go-yaml/parser"
	"github.com/goccy/go-yaml/token"
)

// script is the text of one YAML document, a flow's own or a block's, and where it begins in its file.
type script struct {
	file string
	line int // of the text's first line, from 1
	text string
}

// What nobody writes by hand, and what would make reading slow.
const (
	maxSize   = 1 << 20 // bytes of one file
	maxNested = 32      // brackets within brackets, or dashes in one line
	maxIndent = 120     // characters before a line's first word
	maxKeys   = 10_000  // colons of one document: the parser takes the square of a mapping's keys
)

// scriptsOf cuts a file into its documents, which lines of three dashes part. Line ends become plain new lines.
func (r *reporter) scriptsOf(file string, text []byte) []script {
	at := place{file: file, line: 1, col: 1}
	if len(text) > maxSize {
		r.report(at, fmt.Sprintf("the file is larger than %d KiB", maxSize>>10), "write a shorter one; guidance and pictures don't belong here")
		return nil
	}
	plain := strings.ReplaceAll(strings.TrimPrefix(string(text), "\uFEFF"), "\r\n", "\n")
	if !r.isReadable(file, plain) {
		return nil
	}
	var scripts []script
	lines, from := strings.SplitAfter(plain, "\n"), 0
	end := func(to int) {
		if text := strings.Join(lines[from:to], ""); hasContent(text) {
			scripts = append(scripts, newScript(file, from+1, text))
		}
		from = to + 1
	}
	for i, line := range lines {
		if isMark(line) {
			end(i)
		}
	}
	end(len(lines))
	if len(scripts) == 0 {
		r.report(at, "there is nothing in this file", "write flow: NAME and what follows from it")
	}
	return scripts
}

// isMark tells whether a line parts two documents.
func isMark(line string) bool {
	rest, ok := strings.CutPrefix(line, "---")
	bare := strings.TrimSpace(rest)
	return ok && (bare == "" || rest[0] == ' ' && bare[0] == '#')
}

// hasContent tells whether a text is more than blank lines and comments.
func hasContent(text string) bool {
	for line := range strings.Lines(text) {
		if bare := strings.TrimSpace(line); bare != "" && bare[0] != '#' {
			return true
		}
	}
	return false
}

// newScript drops blank lines at both ends of a text, so that putting documents together and cutting them
// apart changes nothing.
func newScript(file string, line int, text string) script {
	for {
		first, rest, more := strings.Cut(text, "\n")
		if !more || strings.TrimSpace(first) != "" {
			break
		}
		text = rest
		line++
	}
	return script{file, line, strings.TrimRightFunc(text, unicode.IsSpace) + "\n"}
}

// isReadable reports the first character that can't be part of a text.
func (r *reporter) isReadable(file, text string) bool {
	at := place{file: file, line: 1, col: 1}
	for i, c := range text {
		_, size := utf8.DecodeRuneInString(text[i:])
		switch {
		case c == '\n':
			at.line, at.col = at.line+1, 1
			continue
		case c == utf8.RuneError && size == 1:
			r.report(at, "this character can't be read", "save the file as UTF-8")
			return false
		case c != '\t' && unicode.IsControl(c), c == '\uFEFF', c == '\u2028', c == '\u2029':
			r.report(at, "there is a character here that can't be seen", "delete it")
			return false
		}
		at.col++
	}
	return true
}

// parse reads a script as YAML. A mistake in its form is reported alone.
func (r *reporter) parse(s script) (body ast.Node, ok bool) {
	at := place{file: s.file, line: s.line, col: 1}
	defer func() {
		if recover() != nil { // the parser is not ours, and this text is anybody's
			r.report(at, "this can't be read as YAML", "look for an odd bracket, quote, & or * in it")
			body, ok = nil, false
		}
	}()
	d := decoder{reporter: r, script: s}
	tokens := lexer.Tokenize(s.text)
	if deep := tooDeep(tokens); deep != nil {
		r.report(d.tokenPlace(deep), "this lies too many levels deep", "write it flatter: nothing here has more than six levels")
		return nil, false
	}
	if long := tooLong(tokens); long != nil {
		r.report(d.tokenPlace(long), fmt.Sprintf("there are more than %d keys before this one", maxKeys), "make two flows of it")
		return nil, false
	}
	file, err := parser.Parse(tokens, 0, parser.AllowDuplicateMapKey())
	var syntax *yaml.SyntaxError
	switch {
	case errors.As(err, &syntax):
		what, do := inPlainWords(syntax.Message)
		r.report(d.tokenPlace(syntax.Token), what, do)
		return nil, false
	case err != nil:
		r.report(at, "this can't be read as YAML", "look for an odd bracket, quote or colon in it")
		return nil, false
	case len(file.Docs) > 1:
		r.report(d.place(file.Docs[1]), "one text ends and another begins here", "put three dashes alone on the line between a flow and a block, and nothing else")
		return nil, false
	case len(file.Docs) == 0 || file.Docs[0].Body == nil:
		r.report(at, "there is nothing to read here", "write flow: NAME and what follows from it")
		return nil, false
	}
	return file.Docs[0].Body, true
}

// tooDeep finds the first token that is nested deeper than the parser, which calls itself, should follow.
func tooDeep(tokens token.Tokens) *token.Token {
	open, dashes, line := 0, 0, 0
	for _, t := range tokens {
		if t.Position == nil {
			continue
		}
		if t.Position.Line != line {
			line, dashes = t.Position.Line, 0
			if t.Position.Column > maxIndent && open == 0 {
				return t
			}
		}
		switch t.Type {
		case token.SequenceStartType, token.MappingStartType:
			open++
		case token.SequenceEndType, token.MappingEndType:
			open--
		case token.SequenceEntryType, token.MappingKeyType, token.AnchorType, token.TagType, token.MappingValueType:
			dashes++
		}
		if open > maxNested || open == 0 && dashes > maxNested {
			return t
		}
	}
	return nil
}

// tooLong finds the first key that is one too many.
func tooLong(tokens token.Tokens) *token.Token {
	keys := 0
	for _, t := range tokens {
		if t.Type == token.MappingValueType {
			if keys++; keys > maxKeys && t.Position != nil {
				return t
			}
		}
	}
	return nil
}

// inPlainWords turns the parser's message into what a person can act on.
func inPlainWords(message string) (what, do string) {
	known := []struct{ part, what, do string }{
		{"mapping value is not allowed", "there is one colon too many, or this line is indented too far", "put a text that holds a colon in quotes, and line up keys that belong together"},
		{"could not find end character", "a quote is opened here and never closed", "close it"},
		{"end token", "a bracket is opened here and never closed", "close it"},
		{"cannot start any token", "a line is indented with a tab", "use spaces"},
		{"found a tab", "a line is indented with a tab", "use spaces"},
		{"reserved character", "a text can't begin with this character", "put the text in quotes"},
		{"not started", "a text can't begin with this character", "put the text in quotes"},
		{"non-map value", "a key is expected here, with a colon after it", "write KEY: and what belongs to it, or line this up with the line above"},
		{"unexpected key name", "a key is expected here, with a colon after it", "write KEY: and what belongs to it, or line this up with the line above"},
		{"value is not allowed in this context", "this stands where nothing can stand", "line it up with what it belongs to"},
	}
	for _, k := range known {
		if strings.Contains(message, k.part) {
			return k.what, k.do
		}
	}
	return "this can't be read as YAML", "look here for a missing colon, an odd bracket or a wrong indent"
}

// bundle is a flow's own text with the blocks that it takes, as one file that Load reads to the same flow.
func bundle(own script, blocks []script) []byte {
	var b strings.Builder
	b.WriteString(own.text)
	for _, s := range blocks {
		b.WriteString("---\n" + s.text)
	}
	return []byte(b.String())
}
