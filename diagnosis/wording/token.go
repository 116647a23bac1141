package wording

import (
	"strings"
	"unicode"
	"unicode/utf8"

	"golang.org/x/text/unicode/norm"
)

// brk is the kind of break in front of a token.
type brk uint8

const (
	brkNone     brk = iota
	brkClause       // comma, dash, bracket, colon
	brkSentence     // full stop, exclamation or question mark, semicolon, new line
)

// token is one word. A contraction gives several tokens with one span.
type token struct {
	start, end int32 // bytes of the text
	surf, stem int32 // ids of the vocabulary, 0 unknown
	before     brk
	glued      bool // joined to the token before by a hyphen or a contraction
	number     bool
	question   bool // the sentence that ends after this token is a question
}

// apostrophes are the runes people and phones use for one.
func isApostrophe(r rune) bool {
	switch r {
	case '\'', '\u2019', '\u2018', '\u02bc', '\u00b4', '`', '\u2032', '\uff07':
		return true
	}
	return false
}

// isInvisible tells format characters that may stand inside a word.
func isInvisible(r rune) bool {
	return r == '\u00ad' || r > 0x7f && unicode.Is(unicode.Cf, r)
}

func isWordRune(r rune) bool {
	if r < 0x80 {
		return r >= 'a' && r <= 'z' || r >= 'A' && r <= 'Z' || r >= '0' && r <= '9'
	}
	return unicode.IsLetter(r) || unicode.IsDigit(r) || unicode.IsMark(r)
}

// breakOf returns the break that a rune outside words makes.
func breakOf(r rune) brk {
	switch r {
	case '.', '!', '?', ';', '\n', '\r', '\u2026', '\u3002', '\uff01', '\uff1f', '\u2028', '\u2029':
		return brkSentence
	case ',', ':', '(', ')', '[', ']', '\u2013', '\u2014', '\u2012', '\uff0c', '"', '\u201c', '\u201d', '\u2022', '*':
		return brkClause
	}
	return brkNone
}

// tokenise appends the tokens of text to dst. Cost O(len(text)).
func (l *Lexicon) tokenise(dst []token, text string, buf []byte) ([]token, []byte) {
	var pending brk
	hyphen := false // the last rune was a hyphen directly after a word
	for i := 0; i < len(text); {
		r, n := utf8.DecodeRuneInString(text[i:])
		if !isWordRune(r) {
			b := breakOf(r)
			switch {
			case r == '-' || r == '\u2010' || r == '\u2011':
				prev, _ := utf8.DecodeLastRuneInString(text[:i])
				next, _ := utf8.DecodeRuneInString(text[i+n:])
				if isWordRune(prev) && isWordRune(next) {
					hyphen = true
				} else {
					b = brkClause
				}
			case r == '?' || r == '\uff1f':
				if len(dst) > 0 {
					dst[len(dst)-1].question = true
				}
			}
			pending = max(pending, b)
			i += n
			continue
		}
		start := i
		digitsOnly := true
		for i < len(text) {
			r, n := utf8.DecodeRuneInString(text[i:])
			if isWordRune(r) {
				digitsOnly = digitsOnly && r >= '0' && r <= '9'
				i += n
				continue
			}
			next, _ := utf8.DecodeRuneInString(text[i+n:])
			if isApostrophe(r) && isWordRune(next) || isInvisible(r) && isWordRune(next) ||
				digitsOnly && (r == '.' || r == ',') && next >= '0' && next <= '9' {
				i += n
				continue
			}
			break
		}
		buf = normalise(buf[:0], text[start:i])
		first := len(dst)
		dst = l.addWord(dst, buf, int32(start), int32(i), isASCII(text[start:i]))
		if len(dst) > first {
			dst[first].before = pending
			dst[first].glued = hyphen && pending == brkNone
			pending, hyphen = brkNone, false
		}
	}
	return dst, buf
}

// normalise appends the compared form of one word: compatibility composed,
// lower case, straight apostrophes, no invisible characters.
func normalise(dst []byte, word string) []byte {
	ascii := true
	for i := 0; i < len(word); i++ {
		if word[i] >= utf8.RuneSelf || word[i] == '`' {
			ascii = false
			break
		}
	}
	if ascii {
		for i := 0; i < len(word); i++ {
			c := word[i]
			if c >= 'A' && c <= 'Z' {
				c += 'a' - 'A'
			}
			dst = append(dst, c)
		}
		return dst
	}
	// Apostrophes first: compatibility composition takes some of them apart.
	word = strings.Map(func(r rune) rune {
		switch {
		case isApostrophe(r):
			return '\''
		case isInvisible(r):
			return -1
		}
		return r
	}, word)
	for _, r := range norm.NFKC.String(word) {
		dst = utf8.AppendRune(dst, unicode.ToLower(r))
	}
	return dst
}

func isASCII(s string) bool {
	for i := 0; i < len(s); i++ {
		if s[i] >= utf8.RuneSelf {
			return false
		}
	}
	return true
}

// longestWord is the greatest number of bytes of a word that is looked at.
const longestWord = 64

// addWord appends the token or tokens of one normalised word. plain tells that
// the word has the same bytes as the text but for case.
func (l *Lexicon) addWord(dst []token, word []byte, start, end int32, plain bool) []token {
	if len(word) == 0 {
		return dst
	}
	if len(word) > longestWord { // nobody's word; keeps the cost linear
		return append(dst, token{start: start, end: end})
	}
	if word[0] >= '0' && word[0] <= '9' {
		if id, ok := l.vocab.surfaces[string(word)]; ok {
			return l.addSurface(dst, id, start, end)
		}
		return append(dst, token{start: start, end: end, number: true})
	}
	if id, ok := l.vocab.surfaces[string(word)]; ok {
		return l.addSurface(dst, id, start, end)
	}
	// A word with an apostrophe that is not in the contraction table is a noun
	// with an enclitic ("drum's", "motor'll"), or quoted.
	if at := lastApostrophe(word); at > 0 {
		cut := start + int32(at)
		tail := word[at:]
		if plain { // offsets map one to one
			dst = l.addWord(dst, word[:at], start, cut, plain)
			if id, ok := l.vocab.surfaces[string(tail)]; ok {
				k := len(dst)
				dst = l.addSurface(dst, id, cut, end)
				for ; k < len(dst); k++ {
					dst[k].glued = true
				}
			}
			return dst
		}
		k := len(dst)
		dst = l.addWord(dst, word[:at], start, end, false)
		if id, ok := l.vocab.surfaces[string(tail)]; ok {
			dst = l.addSurface(dst, id, start, end)
		}
		for ; k < len(dst); k++ {
			dst[k].start, dst[k].end = start, end
		}
		return dst
	}
	first, second, stem := l.vocab.guess(word)
	if first == 0 {
		return append(dst, token{start: start, end: end, stem: stem})
	}
	dst = l.addSurface(dst, first, start, end)
	if second != 0 {
		dst = l.addSurface(dst, second, start, end)
	}
	return dst
}

func lastApostrophe(word []byte) int {
	for i := len(word) - 1; i >= 0; i-- {
		if word[i] == '\'' {
			return i
		}
	}
	return -1
}

// addSurface appends the token of a known surface, or its expansion.
func (l *Lexicon) addSurface(dst []token, id int32, start, end int32) []token {
	w := &l.vocab.words[id]
	if w.expand == nil {
		return append(dst, token{start: start, end: end, surf: id, stem: w.stem, number: w.classes&clsNumber != 0})
	}
	for i, e := range w.expand {
		dst = append(dst, token{start: start, end: end, surf: e, stem: l.vocab.words[e].stem, glued: i > 0})
	}
	return dst
}
