package eventlog

import (
	"encoding/json"
	"fmt"
	"strconv"
)

// attribute adds an attribute of an event; none where it is empty.
func (o *objectLog) attribute(b []byte, name, value string) []byte {
	if value == "" {
		return b
	}
	if b[len(b)-1] != '[' {
		b = append(b, ',')
	}
	b = append(append(append(b, `{"name":"`...), name...), `","value":"`...)
	return append(append(b, o.text(value)...), `"}`...)
}

// fixed is an attribute of an object that never changes.
func (o *objectLog) fixed(name, value string) string {
	return fmt.Sprintf(`{"name":"%s","time":"%s","value":"%s"}`, name, always, o.text(value))
}

// fixedNumber is the same of a whole number.
func fixedNumber(name string, value int) string {
	return fmt.Sprintf(`{"name":"%s","time":"%s","value":%d}`, name, always, value)
}

// relationship adds an object to those of an event.
func relationship(b []byte, id, qualifier string) []byte {
	return append(append(b, ','), related(id, qualifier)...)
}

func related(id, qualifier string) string {
	return `{"objectId":"` + id + `","qualifier":"` + qualifier + `"}`
}

// Identities begin with their type, so that no two types can meet, whatever
// things are called.
func pieceID(serial uint64) string                      { return "piece:" + strconv.FormatUint(serial, 10) }
func (o *objectLog) mouldID(ware string, no int) string { return o.id("mould", ware, no) }
func (o *objectLog) caseID(ware string, no int) string  { return o.id("case", ware, no) }
func (o *objectLog) orderID(name string) string         { return "order:" + o.text(name) }
func (o *objectLog) id(kind, name string, no int) string {
	return kind + ":" + o.text(name) + ":" + strconv.Itoa(no)
}

// text escapes text for a JSON string. Names come again and again, so they are
// kept.
func (o *objectLog) text(s string) string {
	if known, ok := o.texts[s]; ok {
		return known
	}
	quoted, _ := json.Marshal(s) // a string can always be written
	o.texts[s] = string(quoted[1 : len(quoted)-1])
	return o.texts[s]
}
