// Package report turns answers into something to read: tables and sentences on
// a terminal, or one JSON document.
//
// An answer is laid out once, as a Document of parts with at most one Table
// each (document.go and the files named after the parts). Renderers walk the
// Document and know nothing of plants; nothing here computes a result. A part
// that has nothing to say is left out, and a measure that no part claims is
// shown under "Other measures", so that nothing is lost in between.
//
// The rules of the tables, for whoever adds one:
//
//   - Units stand in the head of a column, or in a column of their own where
//     rows differ. Names come from the scenario and are printed as given there.
//   - A figure with an interval is "6,012 ± 31": the mean to the digit that the
//     half-width allows, and never more than five digits. A half-width is not
//     rounded down to nothing. Without an interval three digits are shown.
//   - Shares of one whole, and the parts of a lead time, are rounded so that
//     what is printed adds up to what is printed (figure.go).
//   - Words are plain. "Safe", "compliant", "guaranteed" and "optimal" are not
//     used: a simulation can promise none of them.
//   - Terminal output keeps within 100 columns and does not depend on the
//     locale, the time or the terminal.
package report
