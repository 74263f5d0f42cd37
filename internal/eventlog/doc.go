// Package eventlog writes what happened to the pieces of a works as an event
// log that other programs read: OCEL 2.0 JSON, where one event touches a piece,
// its mould and its kiln car; XES (IEEE 1849), where a piece is a case; and CSV
// with the columns of XES.
//
// One simulated replication is written while it runs. Memory holds the pieces
// that are in the works and one bit for each mould and kiln load named so far,
// so it does not grow with what is written.
//
// The names of events are those of potbank trace, with the desk added where a
// piece is taken up, since "taken up: glazing" and "taken up: sorting" are two
// activities to whoever draws the process. Every event is an instant. Its
// lifecycle is "start" where work or a stay begins (filled, taken up, into a
// dryer or a kiln) and "complete" where something has ended.
//
// Times are those of the works' own zone with their offset from UTC, to the
// millisecond (ISO 8601). The same seed gives the same bytes.
package eventlog
