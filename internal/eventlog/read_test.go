package eventlog_test

import (
	"encoding/csv"
	"encoding/json"
	"encoding/xml"
	"strconv"
	"strings"
	"testing"
	"time"
)

// row is one event of a log as a reader sees it who knows nothing of the plant.
type row struct {
	piece, activity, time, lifecycle, resource string
	ware, section, stage, cause, grade, order  string
	mould, cast, kiln, load, filled            string
}

// at is the instant of an event.
func (r *row) at(t *testing.T) time.Time { t.Helper(); return timeOf(t, r.time) }

func timeOf(t *testing.T, text string) time.Time {
	t.Helper()
	at, err := time.Parse("2006-01-02T15:04:05.000-07:00", text)
	if err != nil {
		t.Fatal(err)
	}
	return at
}

// readers read the three formats, each from the text of the file alone.
var readers = map[string]func(t *testing.T, text []byte) []row{"csv": readTable, "xes": readCases, "ocel": readObjects}

func readTable(t *testing.T, text []byte) []row {
	t.Helper()
	lines, err := csv.NewReader(strings.NewReader(string(text))).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	of := map[string]int{}
	for i, name := range lines[0] {
		of[name] = i
	}
	piece, activity, at, lifecycle, resource := of["piece"], of["activity"], of["timestamp"], of["lifecycle"], of["resource"]
	ware, section, stage, cause, grade, order := of["ware"], of["section"], of["stage"], of["cause"], of["grade"], of["order"]
	mould, cast, kiln, load := of["mould"], of["cast"], of["kiln"], of["load"]
	filled := of["filled"]
	rows := make([]row, 0, len(lines))
	for _, l := range lines[1:] {
		rows = append(rows, row{
			l[piece], l[activity], l[at], l[lifecycle], l[resource],
			l[ware], l[section], l[stage], l[cause], l[grade], l[order], l[mould], l[cast], l[kiln], l[load], l[filled],
		})
	}
	return rows
}

// element is an XML element with its attributes by name.
type element struct {
	XMLName xml.Name
	Attrs   []xml.Attr `xml:",any,attr"`
	Inner   []element  `xml:",any"`
}

func (e *element) get(name string) string {
	for _, a := range e.Attrs {
		if a.Name.Local == name {
			return a.Value
		}
	}
	return ""
}

// values are the XES attributes of a component, by key.
func (e *element) values() map[string]string {
	all := map[string]string{}
	for i := range e.Inner {
		if key := e.Inner[i].get("key"); key != "" {
			all[key] = e.Inner[i].get("value")
		}
	}
	return all
}

func readCases(t *testing.T, text []byte) []row {
	t.Helper()
	var log element
	if err := xml.Unmarshal(text, &log); err != nil {
		t.Fatal(err)
	}
	var rows []row
	for i := range log.Inner {
		trace := &log.Inner[i]
		if trace.XMLName.Local != "trace" {
			continue
		}
		p := trace.values()
		kiln, load := "", "" // of its last fire
		for k := range trace.Inner {
			if trace.Inner[k].XMLName.Local != "event" {
				continue
			}
			e := trace.Inner[k].values()
			if e["load"] != "" {
				kiln, load = e["kiln"], e["load"]
			}
			rows = append(rows, row{
				p["concept:name"], e["concept:name"], e["time:timestamp"], e["lifecycle:transition"], e["org:resource"],
				p["ware"], e["section"], e["stage"], e["cause"], e["grade"], e["order"], p["mould"], p["cast"], kiln, load, e["filled"],
			})
		}
	}
	return rows
}

// objectFile is OCEL 2.0 JSON.
type objectFile struct {
	EventTypes, ObjectTypes []struct {
		Name       string
		Attributes []struct{ Name, Type string }
	}
	Events []struct {
		ID, Type, Time string
		Attributes     []struct{ Name, Value string }
		Relationships  []link
	}
	Objects []struct {
		ID, Type      string
		Attributes    []attribute
		Relationships []link
	}
}

type link struct{ ObjectID, Qualifier string }

type attribute struct {
	Name, Time string
	Value      any
}

func decodeObjects(t *testing.T, text []byte) *objectFile {
	t.Helper()
	var f objectFile
	if err := json.Unmarshal(text, &f); err != nil {
		t.Fatal(err)
	}
	return &f
}

func readObjects(t *testing.T, text []byte) []row {
	t.Helper()
	f := decodeObjects(t, text)
	of := map[string]map[string]string{} // attributes of objects
	tool := map[string]string{}          // of a piece
	for _, o := range f.Objects {
		of[o.ID] = map[string]string{}
		for _, a := range o.Attributes {
			switch v := a.Value.(type) {
			case string:
				of[o.ID][a.Name] = v
			case float64:
				of[o.ID][a.Name] = strconv.Itoa(int(v))
			}
		}
		for _, l := range o.Relationships {
			if l.Qualifier == "cast in" {
				tool[o.ID] = l.ObjectID
			}
		}
	}
	fire := map[string]string{} // last of a piece
	var rows []row
	for _, e := range f.Events {
		a := map[string]string{}
		for _, x := range e.Attributes {
			a[x.Name] = x.Value
		}
		piece, order := "", ""
		for _, l := range e.Relationships {
			switch l.Qualifier {
			case "piece":
				piece = l.ObjectID
			case "counts towards":
				order = strings.TrimPrefix(l.ObjectID, "order:")
			}
		}
		for _, l := range e.Relationships {
			if l.Qualifier == "fired with" {
				fire[piece] = l.ObjectID
			}
		}
		rows = append(rows, row{
			strings.TrimPrefix(piece, "piece:"), e.Type, e.Time, a["lifecycle"], a["resource"],
			of[piece]["ware"], a["section"], a["stage"], a["cause"], a["grade"], order,
			of[tool[piece]]["number"], of[piece]["cast"], of[fire[piece]]["kiln"], of[fire[piece]]["number"], a["filled"],
		})
	}
	return rows
}
