// Package report turns answers into something to read: tables and sentences on
// a terminal, or one JSON document.
//
// An answer is laid out once, as a Document of parts with at most one Table
// each (document.go and the files named after the parts). Renderers walk the
// Document and know nothing of plants; nothing here computes a result. What
// looks like arithmetic is the choice of digits: a mean is shown to the digit
// that its half-width allows (figure.go).
package report
