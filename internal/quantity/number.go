package quantity

import (
	"math/big"
	"strconv"
	"strings"
	"unicode"
	"unicode/utf8"
)

const (
	// longest is the greatest length of a quantity's text in bytes. The
	// smallest float64 written out in full needs 326 characters.
	longest = 400
	// steepest is the greatest power of ten accepted. It bounds the work
	// that "1e999999999 s" could cause, and lies outside float64.
	steepest = 400
)

// A written value is a quantity taken apart, before its unit is understood.
type written struct {
	number string // as written, in the grammar of numberEnd, with its sign
	unit   string // as written; may be empty
	at     int    // offset of the number, in characters
	unitAt int    // offset of the unit, or of the number if there is none
}

// negative reports whether the number carries a minus sign.
func (w written) negative() bool { return strings.HasPrefix(w.number, "-") }

// size returns the number without its sign.
func (w written) size() string { return strings.TrimPrefix(w.number, "-") }

// split takes s apart into a number and a unit. The dimension and key serve
// the messages only.
func split(d *dimension, key, s string) (written, error) {
	if len(s) > longest {
		return written{}, &Fault{What: d.subject(key) + " is longer than " + strconv.Itoa(longest) + " characters", Hint: d.suchAs(), Limit: true}
	}
	text := strings.TrimLeftFunc(s, unicode.IsSpace)
	at := utf8.RuneCountInString(s) - utf8.RuneCountInString(text)
	text = strings.TrimRightFunc(text, unicode.IsSpace)
	if text == "" {
		return written{}, faultAt(at, d.suchAs(), "%s is empty", d.subject(key))
	}
	end := numberEnd(text)
	rest := text[end:]
	if end == 0 || runsOn(rest) {
		return written{}, malformed(d, at, text)
	}
	w := written{number: text[:end], at: at, unitAt: at}
	w.unit = strings.TrimLeftFunc(rest, unicode.IsSpace)
	if w.unit != "" {
		w.unitAt += utf8.RuneCountInString(text[:len(text)-len(w.unit)])
	}
	if digit(w.unit) {
		// Not a unit but the rest of "10 000", grouped as ISO 80000-1 has it.
		group, tail := cut(w.unit)
		return written{}, faultAt(at, "write one number and one unit, with no space inside the number",
			"%q has a space inside the number", w.number+" "+strings.TrimSuffix(group, tail))
	}
	return w, leadingZero(w, d)
}

// numberEnd returns the length of the number at the start of s, or 0:
//
//	number = ["-"] digits ["." digits] [("e" | "E") ["+" | "-"] digits]
//
// A point needs a digit on both sides, as SI style asks and as YAML does not.
func numberEnd(s string) int {
	i := 0
	if strings.HasPrefix(s, "-") {
		i++
	}
	whole := digits(s[i:])
	if whole == 0 {
		return 0
	}
	i += whole
	if i < len(s) && s[i] == '.' {
		if n := digits(s[i+1:]); n > 0 {
			i += 1 + n
		}
	}
	if i < len(s) && (s[i] == 'e' || s[i] == 'E') {
		j := i + 1
		if j < len(s) && (s[j] == '+' || s[j] == '-') {
			j++
		}
		if n := digits(s[j:]); n > 0 {
			i = j + n
		}
	}
	return i
}

// digits returns how many ASCII digits s starts with.
func digits(s string) int {
	for i := range len(s) {
		if s[i] < '0' || s[i] > '9' {
			return i
		}
	}
	return len(s)
}

// digit reports whether s starts with an ASCII digit.
func digit(s string) bool { return digits(s) > 0 }

// runsOn reports whether rest, which follows a number, still belongs to what
// the author meant as the number: the ",5" of "9,5" or the ":15" of "1:15". A
// letter does not, since it begins the unit of "36h".
func runsOn(rest string) bool {
	r, _ := utf8.DecodeRuneInString(rest)
	return r != utf8.RuneError && strings.ContainsRune("0123456789.,:_'+-\u2212\u2013", r)
}

// cut separates the first word of s from what follows it.
func cut(s string) (word, rest string) {
	if i := strings.IndexFunc(s, unicode.IsSpace); i >= 0 {
		return s[:i], strings.TrimLeftFunc(s[i:], unicode.IsSpace)
	}
	return s, ""
}

// malformed explains why text does not begin with a number. It looks for the
// slips that people make: a typeset minus, a decimal comma, a time of day, a
// point without a digit before it.
func malformed(d *dimension, at int, text string) *Fault {
	word, unit := cut(text)
	unit = strings.TrimSpace(unit)
	if unit == "" && !d.bare {
		unit = d.usual[0]
	}
	first, width := utf8.DecodeRuneInString(word)
	switch {
	case first == '\u2212' || first == '\u2013' || first == '\u2014':
		// Word processors and web pages put these where a minus was typed.
		name, sign, also := "a typeset minus", "-", ""
		if first != '\u2212' {
			name = "a dash"
		}
		if !d.signed {
			sign, also = "", ", and "+d.noun+" cannot be negative"
		}
		return faultAt(at, writeAs(sign+word[width:], unit), "U+%04X (%s) is not part of a number%s", first, name, also)
	case strings.Contains(word, ",") && digit(word):
		return commaFault(at, word, unit)
	case d == &timeUnits && digits(word) > 0 && word[digits(word)] == ':':
		return clockFault(at, word)
	case strings.HasPrefix(word, ".") && digit(word[1:]):
		return faultAt(at, writeAs("0"+word, unit), "%q has no digit before its point", word)
	case d.bare:
		return faultAt(at, d.suchAs(), "%q is not a whole number", word)
	}
	return faultAt(at, d.suchAs(), "%q is not a number", word)
}

// commaFault tells a decimal comma from a thousands separator by the number
// of digits that follow it.
func commaFault(at int, word, unit string) *Fault {
	head, tail, _ := strings.Cut(word, ",")
	grouped := digits(tail) == 3 && (len(tail) == 3 || tail[3] == ',' || tail[3] == '.')
	hint := writeAs(head+"."+tail, unit) + " with a point"
	if grouped {
		hint = writeAs(strings.ReplaceAll(word, ",", ""), unit) + ", with no separators"
	} else if strings.ContainsAny(tail, ".,") || strings.Contains(head, ".") {
		hint = "write a point before the decimals and no separators"
	}
	return faultAt(at, hint, "%q uses a comma", word)
}

// clockFault explains why "1:15" is refused, and works out its likelier
// reading, hours and minutes.
func clockFault(at int, word string) *Fault {
	a, b, _ := strings.Cut(word, ":")
	hours, err1 := strconv.Atoi(a)
	minutes, err2 := strconv.Atoi(b)
	if err1 != nil || err2 != nil || hours > 9999 || minutes > 59 {
		return faultAt(at, timeUnits.suchAs(), "%q is not a number", word)
	}
	return faultAt(at, writeAs(strconv.Itoa(60*hours+minutes), "min"),
		"%q could be %d h %d min or %d min %d s", word, hours, minutes, hours, minutes)
}

// leadingZero refuses "010", which YAML 1.1 reads as eight and people as ten.
// It offers both readings where the digits are octal.
func leadingZero(w written, d *dimension) error {
	n := digits(w.size())
	if n < 2 || w.size()[0] != '0' {
		return nil
	}
	plain := strings.TrimLeft(w.size()[:n-1], "0") + w.size()[n-1:]
	what := "a leading zero is ambiguous"
	if octal, err := strconv.ParseUint(w.size(), 8, 32); err == nil && n == len(w.size()) && octal > 7 {
		what += " (" + strconv.FormatUint(octal, 10) + " or " + plain + ")"
	}
	return faultAt(w.at, writeAs(plain, w.unit), "%s", what)
}

// writeAs returns the hint to write the number with the unit.
func writeAs(number, unit string) string {
	return strings.TrimRight("write "+number+" "+unit, " ")
}

// exact returns the value of a number in the grammar of numberEnd, without
// rounding: 0.1 has no exact float64, and a sum of such would not be exact.
func exact(w written, d *dimension, key string) (*big.Rat, error) {
	if _, power, ok := strings.Cut(strings.ToLower(w.number), "e"); ok {
		if p, err := strconv.Atoi(power); err != nil || p > steepest || p < -steepest {
			return nil, &Fault{Offset: w.at, What: d.subject(key) + " has a power of ten beyond " + strconv.Itoa(steepest), Hint: "check the number", Limit: true}
		}
	}
	v, ok := new(big.Rat).SetString(w.number)
	if !ok {
		panic("quantity: number grammar disagrees with math/big on " + strconv.Quote(w.number))
	}
	return v, nil
}
