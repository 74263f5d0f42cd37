package eventlog

import (
	"bufio"
	"encoding/xml"
	"io"
	"slices"
	"strconv"
	"strings"
)

// caseLog writes XES: one trace a piece, with its events in order. A trace is
// written when its piece leaves, so that only pieces in the works are held.
type caseLog struct {
	w       *bufio.Writer
	open    map[uint64]*[]byte // traces begun, by piece
	spare   []*[]byte          // their memory, to be used again
	escaped map[string]string
	pieces  int64
}

// newCaseLog writes what stands before the traces, in the order that the schema
// of the standard wants: extensions, globals, classifiers, attributes.
func newCaseLog(w io.Writer, a About) *caseLog {
	c := &caseLog{w: bufio.NewWriterSize(w, 1<<16), open: map[uint64]*[]byte{}, escaped: map[string]string{}}
	c.w.WriteString(`<?xml version="1.0" encoding="UTF-8"?>
<log xes.version="2.0" xes.features="" xmlns="http://www.xes-standard.org/">
<extension name="Concept" prefix="concept" uri="http://www.xes-standard.org/concept.xesext"/>
<extension name="Time" prefix="time" uri="http://www.xes-standard.org/time.xesext"/>
<extension name="Lifecycle" prefix="lifecycle" uri="http://www.xes-standard.org/lifecycle.xesext"/>
<extension name="Organizational" prefix="org" uri="http://www.xes-standard.org/org.xesext"/>
<global scope="trace"><string key="concept:name" value=""/><string key="ware" value=""/></global>
<global scope="event"><string key="concept:name" value=""/><date key="time:timestamp" value="1970-01-01T00:00:00.000+00:00"/><string key="lifecycle:transition" value="complete"/><string key="section" value=""/></global>
<classifier name="Activity" scope="event" keys="concept:name"/>
`)
	var head []byte
	head = c.text(head, "concept:name", a.Works)
	head = c.text(head, "lifecycle:model", "standard")
	head = c.text(head, "scenario", a.Hash)
	head = c.text(head, "seed", strconv.FormatUint(a.Seed, 10)) // may exceed the integers of the standard
	head = whole(head, "replication", int(a.Replication))
	head = whole(head, "from-week", a.From)
	head = whole(head, "to-week", a.To)
	c.w.Write(append(head, '\n'))
	return c
}

// write implements encoder.
func (c *caseLog) write(e *event) error {
	trace := c.open[e.Piece]
	if trace == nil {
		trace = c.begin(e)
		c.open[e.Piece] = trace
		c.pieces++
	}
	b := append(*trace, "<event>"...)
	b = c.text(b, "concept:name", e.activity)
	b = append(append(append(b, `<date key="time:timestamp" value="`...), e.time...), `"/>`...)
	b = c.text(b, "lifecycle:transition", e.lifecycle)
	b = c.text(b, "org:resource", e.resource)
	b = c.text(b, "section", e.Section)
	if e.fires() {
		b = whole(c.text(b, "kiln", e.Kiln), "load", int(e.Load))
	}
	b = c.text(c.text(b, "stage", e.stage), "cause", e.cause)
	b = c.text(c.text(b, "grade", e.Grade), "order", e.Order)
	if e.filled != "" {
		b = append(append(append(b, `<date key="filled" value="`...), e.filled...), `"/>`...)
	}
	*trace = append(b, "</event>\n"...)
	if !e.leaves() {
		return nil
	}
	delete(c.open, e.Piece)
	return c.end(trace)
}

// begin opens the trace of a piece.
func (c *caseLog) begin(e *event) *[]byte {
	trace := new([]byte)
	if n := len(c.spare); n > 0 {
		trace = c.spare[n-1]
		c.spare = c.spare[:n-1]
	}
	b := append((*trace)[:0], "<trace>"...)
	b = c.text(b, "concept:name", strconv.FormatUint(e.Piece, 10))
	b = c.text(b, "ware", e.Ware)
	b = whole(b, "mould", e.Mould.No)
	b = whole(b, "cast", e.Mould.Cast)
	b = whole(b, "case", e.Mould.Case)
	b = whole(b, "block", e.Mould.Block)
	*trace = append(b, '\n')
	return trace
}

// end writes a trace and keeps its memory for another.
func (c *caseLog) end(trace *[]byte) error {
	c.w.Write(*trace)
	_, err := c.w.WriteString("</trace>\n")
	c.spare = append(c.spare, trace)
	return err
}

// close implements encoder. Pieces still in the works come in the order of
// their numbers.
func (c *caseLog) close() (int64, error) {
	left := make([]uint64, 0, len(c.open))
	for piece := range c.open {
		left = append(left, piece)
	}
	slices.Sort(left)
	for _, piece := range left {
		c.end(c.open[piece])
	}
	c.w.WriteString("</log>\n")
	return c.pieces, c.w.Flush()
}

// text adds an attribute that is text; none where it is empty.
func (c *caseLog) text(b []byte, key, value string) []byte {
	if value == "" {
		return b
	}
	b = append(append(append(b, `<string key="`...), key...), `" value="`...)
	return append(append(b, c.escape(value)...), `"/>`...)
}

// whole adds an attribute that is a number from 1; none where it is 0.
func whole(b []byte, key string, value int) []byte {
	if value == 0 {
		return b
	}
	b = append(append(append(b, `<int key="`...), key...), `" value="`...)
	return append(strconv.AppendInt(b, int64(value), 10), `"/>`...)
}

// escape makes text safe within an attribute. Names come again and again, so
// they are kept; numbers of pieces need no escaping.
func (c *caseLog) escape(value string) string {
	if value[0] >= '0' && value[0] <= '9' {
		if _, err := strconv.ParseUint(value, 10, 64); err == nil {
			return value
		}
	}
	if known, ok := c.escaped[value]; ok {
		return known
	}
	var text strings.Builder
	xml.EscapeText(&text, []byte(value))
	c.escaped[value] = text.String()
	return text.String()
}
