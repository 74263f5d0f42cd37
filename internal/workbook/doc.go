// Package workbook writes the sheets of an answer as CSV files or as one Excel
// workbook with live totals and native charts. Like every renderer it computes
// nothing: totals are formulas, which the spreadsheet works out again.
//
// Text stays text. In a CSV file a cell that a spreadsheet would take for a
// formula gets an apostrophe in front; in a workbook text is written as such,
// and only a report.Formula becomes a formula.
//
// The same sheets give the same bytes: nothing in a file depends on the clock,
// on the machine or on the order of a map.
package workbook
