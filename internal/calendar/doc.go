// Package calendar turns a works calendar into the open hours that a
// simulation runs on, and simulated time back into dates.
//
// A works calendar is a Plan: one shift Pattern a week, or several in
// rotation; dates on which the works is closed (shutdown weeks, holidays from
// an iCalendar file, recurring closures by an RFC 5545 rule); and dated shifts
// worked in addition. Plan.Hours lays it over a Clock, which ties simulated
// time to wall-clock time in a zone, and gives sorted open intervals.
//
// Three rules settle what people leave unsaid:
//
//   - A shift runs from one wall-clock time to another. On the night when the
//     clocks go forward the shift 22:00-06:00 lasts 7 h, on the night when they
//     go back 9 h.
//   - A shift belongs to the date on which it starts. A closed date cancels the
//     night shift that would start on it, and not the end of the one before.
//   - A dated extra shift is worked even on a closed date; it is the exception
//     from the exception.
//
// Everything here is a pure function of its arguments and of the IANA time
// zone data, which is built in for machines that have none. Errors in what a
// user wrote are *quantity.Fault and point into the text.
package calendar
