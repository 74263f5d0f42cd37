package eventlog

import (
	"fmt"
	"io"
	"path/filepath"
	"strings"

	"potbank/internal/calendar"
	"potbank/internal/des"
	"potbank/internal/plant"
)

// A Format is a kind of log file.
type Format string

// Formats, by the names that users give them.
const (
	OCEL Format = "ocel" // object-centric, JSON
	XES  Format = "xes"  // one case a piece, XML
	CSV  Format = "csv"  // one event a line
)

// Formats lists them.
var Formats = []Format{OCEL, XES, CSV}

// FormatOf tells the format by the extension of a file: .json is OCEL. It
// returns false where the extension says nothing.
func FormatOf(path string) (Format, bool) {
	switch strings.ToLower(filepath.Ext(path)) {
	case ".json", ".jsonocel":
		return OCEL, true
	case ".xes":
		return XES, true
	case ".csv":
		return CSV, true
	}
	return "", false
}

// About says what a log is of.
type About struct {
	Works       string // name of the works
	Hash        string // of the scenario's content
	Seed        uint64
	Replication uint32 // from 1
	From, To    int    // first and last week that is written, from 1
	Clock       calendar.Clock
	Orders      []plant.Order
}

// Counts is how much a log holds.
type Counts struct {
	Events, Pieces int64
}

// Log is a log being written.
type Log struct {
	about    About
	from, to des.Time // what happens in [from, to) is written
	out      encoder
	counts   Counts
	err      error // the first; after it nothing is written any more
	event    event
}

// An encoder writes events in one format, in the order in which they happen.
type encoder interface {
	write(e *event) error
	// close ends the log; pieces still in the works are written out. It returns
	// how many pieces the log tells of.
	close() (pieces int64, err error)
}

// New begins a log on w. spool is a place for what OCEL has at its end while
// its events are written; the other formats do not use it.
func New(w io.Writer, spool io.ReadWriteSeeker, f Format, a About) (*Log, error) {
	l := &Log{about: a, from: des.Time(a.From-1) * des.Week, to: des.Time(a.To) * des.Week}
	switch f {
	case OCEL:
		l.out = newObjectLog(w, spool, a)
	case XES:
		l.out = newCaseLog(w, a)
	case CSV:
		l.out = newTable(w)
	default:
		return nil, fmt.Errorf("eventlog: no format %q", f)
	}
	return l, nil
}

// Observe writes one observation, if it falls into the weeks that are wanted.
// It is a plant.Options.Observer; an error is kept for Close.
func (l *Log) Observe(o plant.Observation) {
	if l.err != nil || o.At < l.from || o.At >= l.to {
		return
	}
	l.counts.Events++
	l.event.read(&o, l.about.Clock, l.counts.Events)
	l.err = l.out.write(&l.event)
}

// Failed tells that the log cannot be written, so that there is no use in going
// on with the run.
func (l *Log) Failed() bool { return l.err != nil }

// Close ends the log. It returns the first error there was; then what was
// written is no log and should be thrown away.
func (l *Log) Close() (Counts, error) {
	if l.err == nil {
		l.counts.Pieces, l.err = l.out.close()
	}
	return l.counts, l.err
}
