package eventlog_test

import (
	"bytes"
	"encoding/xml"
	"errors"
	"io"
	"maps"
	"os"
	"path/filepath"
	"regexp"
	"runtime"
	"slices"
	"strings"
	"testing"

	"github.com/santhosh-tekuri/jsonschema/v6"

	"potbank/internal/des"
	"potbank/internal/eventlog"
	"potbank/internal/plant"
	"potbank/internal/random"
)

// TestObjectsKeepToTheStandard holds an OCEL file to the structure of OCEL 2.0
// (testdata/ocel20.schema.json, written from its public description, since the
// published schema is not part of this project) and to what no schema says:
// identities are unique, types and attributes are declared, and what is
// referred to is there.
func TestObjectsKeepToTheStandard(t *testing.T) {
	l := write(t, works(t, "small-works.yaml", withStock), eventlog.OCEL, 1, smallWeeks)
	schemaOf(t, filepath.Join("testdata", "ocel20.schema.json"), l.text)
	f := decodeObjects(t, l.text)
	declared := map[string]bool{}
	for _, e := range f.EventTypes {
		for _, a := range e.Attributes {
			declared["event "+e.Name+" "+a.Name] = true
		}
	}
	for _, o := range f.ObjectTypes {
		for _, a := range o.Attributes {
			declared["object "+o.Name+" "+a.Name] = true
		}
	}
	ids, kinds := map[string]bool{}, map[string]int{}
	for _, o := range f.Objects {
		if ids[o.ID] {
			t.Errorf("object %s is there twice", o.ID)
		}
		ids[o.ID] = true
		kinds[o.Type]++
		for _, a := range o.Attributes {
			if !declared["object "+o.Type+" "+a.Name] {
				t.Errorf("%s: attribute %s of a %s is not declared", o.ID, a.Name, o.Type)
			}
		}
	}
	for _, kind := range []string{"piece", "mould", "case", "load", "order"} {
		if kinds[kind] == 0 {
			t.Errorf("no object is a %s", kind)
		}
	}
	for _, o := range f.Objects {
		refer(t, ids, o.ID, o.Relationships)
	}
	events := map[string]bool{}
	for _, e := range f.Events {
		if events[e.ID] {
			t.Errorf("event %s is there twice", e.ID)
		}
		events[e.ID] = true
		refer(t, ids, e.ID, e.Relationships)
		for _, a := range e.Attributes {
			if !declared["event "+e.Type+" "+a.Name] {
				t.Errorf("%s: attribute %s of %q is not declared", e.ID, a.Name, e.Type)
			}
		}
	}
	if int64(len(events)) != l.counts.Events || int64(kinds["piece"]) != l.counts.Pieces {
		t.Errorf("%d events and %d pieces in the file, %+v told", len(events), kinds["piece"], l.counts)
	}
}

// schemaOf validates JSON by a schema, formats of times included.
func schemaOf(t *testing.T, schema string, text []byte) {
	t.Helper()
	c := jsonschema.NewCompiler()
	c.AssertFormat()
	s, err := c.Compile(schema)
	if err != nil {
		t.Fatal(err)
	}
	document, err := jsonschema.UnmarshalJSON(bytes.NewReader(text))
	if err != nil {
		t.Fatal(err)
	}
	if err := s.Validate(document); err != nil {
		t.Error(err)
	}
}

// refer checks that what is referred to is there.
func refer(t *testing.T, ids map[string]bool, from string, links []link) {
	t.Helper()
	for _, l := range links {
		if !ids[l.ObjectID] {
			t.Errorf("%s refers to %s, which is not there", from, l.ObjectID)
		}
	}
}

// TestCasesKeepToTheStandard holds an XES file to the structure of IEEE 1849, as
// public descriptions give it; the XML Schema of the standard is not part of
// this project. Extensions, globals, classifiers, attributes, traces come in
// this order; attributes have a key once and a value of their type; what a
// global declares, every trace and event has.
func TestCasesKeepToTheStandard(t *testing.T) {
	l := write(t, works(t, "small-works.yaml", withStock), eventlog.XES, 1, smallWeeks-1)
	var log element
	if err := xml.Unmarshal(l.text, &log); err != nil {
		t.Fatal(err)
	}
	if log.XMLName.Space != "http://www.xes-standard.org/" || log.XMLName.Local != "log" || log.get("xes.version") != "2.0" {
		t.Errorf("the log is %v, version %q", log.XMLName, log.get("xes.version"))
	}
	rank := map[string]int{"extension": 0, "global": 1, "classifier": 2, "string": 3, "int": 3, "trace": 4}
	prefixes, globals, last := map[string]bool{}, map[string][]string{}, 0
	for i := range log.Inner {
		e := &log.Inner[i]
		at, known := rank[e.XMLName.Local]
		if !known || at < last {
			t.Fatalf("<%s> after what should follow it", e.XMLName.Local)
		}
		last = at
		switch at {
		case 0:
			prefixes[e.get("prefix")] = true
		case 1:
			globals[e.get("scope")] = slices.Collect(maps.Keys(e.values()))
			attributes(t, e, prefixes)
		case 2:
			if !slices.Contains(globals["event"], e.get("keys")) || !regexp.MustCompile(`^[A-Za-z]\w*$`).MatchString(e.get("name")) {
				t.Errorf("classifier %q by %q", e.get("name"), e.get("keys"))
			}
		case 4:
			component(t, e, prefixes, globals["trace"])
			for k := range e.Inner {
				if e.Inner[k].XMLName.Local == "event" {
					component(t, &e.Inner[k], prefixes, globals["event"])
				}
			}
		}
	}
	if n := bytes.Count(l.text, []byte("<trace>")); int64(n) != l.counts.Pieces || n == 0 {
		t.Errorf("%d traces of %d pieces", n, l.counts.Pieces)
	}
}

// component checks a trace or an event.
func component(t *testing.T, e *element, prefixes map[string]bool, globals []string) {
	t.Helper()
	attributes(t, e, prefixes)
	has := e.values()
	for _, key := range globals {
		if _, ok := has[key]; !ok {
			t.Errorf("a %s has no %s: %v", e.XMLName.Local, key, has)
		}
	}
}

// valueOf are the values that XML Schema allows the types used.
var valueOf = map[string]*regexp.Regexp{
	"string": regexp.MustCompile(`(?s).*`),
	"int":    regexp.MustCompile(`^-?\d{1,18}$`),
	"date":   regexp.MustCompile(`^\d{4}-\d\d-\d\dT\d\d:\d\d:\d\d(\.\d+)?(Z|[+-]\d\d:\d\d)$`),
}

// nameOf is an XML name as the keys of a log are.
var nameOf = regexp.MustCompile(`^[a-z][\w:-]*$`)

// attributes checks the attributes of a component.
func attributes(t *testing.T, e *element, prefixes map[string]bool) {
	t.Helper()
	seen := map[string]bool{}
	for i := range e.Inner {
		a := &e.Inner[i]
		kind, key := a.XMLName.Local, a.get("key")
		if kind == "event" {
			seen["event"] = true
			continue
		}
		prefix, _, extended := strings.Cut(key, ":")
		switch {
		case seen["event"]:
			t.Errorf("<%s> after an event", kind)
		case valueOf[kind] == nil || !valueOf[kind].MatchString(a.get("value")):
			t.Errorf("<%s> %s is %q", kind, key, a.get("value"))
		case seen[key]:
			t.Errorf("%s is there twice", key)
		case extended && !prefixes[prefix]:
			t.Errorf("%s is of no extension", key)
		case !nameOf.MatchString(key):
			t.Errorf("%q is no name", key)
		}
		seen[key] = true
	}
}

// TestTimesAreOfTheZone: before and after the beginning of summer time the
// offset is that of the works' zone.
func TestTimesAreOfTheZone(t *testing.T) {
	rows := readTable(t, write(t, works(t, "small-works.yaml", nil), eventlog.CSV, 1, 14).text)
	if first, last := rows[0].time, rows[len(rows)-1].time; !strings.HasSuffix(first, "+01:00") || !strings.HasSuffix(last, "+02:00") {
		t.Errorf("from %s to %s", first, last)
	}
}

// TestWindowOfWeeks: a log of some weeks is that part of the whole, and weeks
// that follow change nothing.
func TestWindowOfWeeks(t *testing.T) {
	p := works(t, "small-works.yaml", withStock)
	start := p.Clock().Civil(0)
	var want []row
	for _, r := range readTable(t, write(t, p, eventlog.CSV, 1, 8).text) {
		if h := r.at(t).Sub(start).Hours() / 168; h >= 4 && h < 6 {
			want = append(want, r)
		}
	}
	for format, read := range readers {
		got := read(t, write(t, p, eventlog.Format(format), 5, 6).text)
		if format == "csv" && !slices.Equal(got, want) || len(got) != len(want) {
			t.Errorf("%s: weeks 5 and 6 are not those of the whole: %d events, want %d", format, len(got), len(want))
		}
	}
}

// TestSameBytes: the same seed gives the same file.
func TestSameBytes(t *testing.T) {
	p := works(t, "small-works.yaml", withStock)
	for _, f := range eventlog.Formats {
		if !bytes.Equal(write(t, p, f, 1, 4).text, write(t, p, f, 1, 4).text) {
			t.Errorf("%s: two logs of one replication differ", f)
		}
	}
}

// TestNamesAreText: names that a spreadsheet, JSON or XML would take for
// something else come back as what they are, or as text.
func TestNamesAreText(t *testing.T) {
	p := works(t, "small-works.yaml", withStock)
	orders := map[string]map[string]bool{}
	for format, read := range readers {
		orders[format] = map[string]bool{}
		for _, r := range read(t, write(t, p, eventlog.Format(format), 1, 2).text) {
			orders[format][r.order] = true
		}
	}
	odd := `=HYPERLINK("x")`
	for format, want := range map[string]string{"csv": "'" + odd, "xes": odd, "ocel": odd} {
		if !orders[format][want] || !orders[format]["hotel & spa"] || format == "csv" && orders[format][odd] {
			t.Errorf("%s: the orders are %v", format, orders[format])
		}
	}
	text := write(t, p, eventlog.CSV, 1, 2).text
	if bad := regexp.MustCompile(`(?m)(^|,)"?[=+@-]`).Find(text); bad != nil {
		t.Errorf("a cell begins as a formula: %q", bad)
	}
}

// full is a disk that takes so many bytes.
type full struct{ room int }

var errFull = errors.New("disk is full")

func (f *full) Write(b []byte) (int, error) {
	if f.room -= len(b); f.room < 0 {
		return 0, errFull
	}
	return len(b), nil
}

func (f *full) Read([]byte) (int, error)       { return 0, io.EOF }
func (f *full) Seek(int64, int) (int64, error) { return 0, nil }

// TestFullDisk: a log that cannot be written says so, and lets the run end.
func TestFullDisk(t *testing.T) {
	p := works(t, "small-works.yaml", nil)
	for _, f := range eventlog.Formats {
		for _, c := range []struct{ room, spool int }{{0, 1 << 40}, {200_000, 1 << 40}, {1 << 40, 1000}} {
			if c.spool < 1<<40 && f != eventlog.OCEL {
				continue // only its objects are spooled
			}
			l, err := eventlog.New(&full{c.room}, &full{c.spool}, f, eventlog.About{From: 1, To: 8, Clock: p.Clock()})
			if err != nil {
				t.Fatal(err)
			}
			_, run := p.Simulate(plant.Options{Source: random.New(1, 1), Weeks: 8, Observer: l.Observe, Stopped: l.Failed})
			if _, err := l.Close(); !errors.Is(err, errFull) || run != nil && !errors.Is(run, plant.ErrStopped) {
				t.Errorf("%s with room for %d and %d: %v, run %v", f, c.room, c.spool, err, run)
			}
		}
	}
}

// TestMemoryStaysFlat: a piece that has left is forgotten. A hundred thousand
// pieces through a log leave no more behind than the bits that say they were
// there, and the heap grows by less than 4 bytes a piece.
func TestMemoryStaysFlat(t *testing.T) {
	spool, err := os.Create(filepath.Join(t.TempDir(), "spool"))
	if err != nil {
		t.Fatal(err)
	}
	defer spool.Close()
	clock := works(t, "small-works.yaml", nil).Clock()
	const many = manyPieces
	for _, f := range eventlog.Formats {
		l, err := eventlog.New(io.Discard, spool, f, eventlog.About{From: 1, To: 1, Clock: clock})
		if err != nil {
			t.Fatal(err)
		}
		lives(l, 0, 1000)
		before := heap()
		lives(l, 1000, many)
		if grown := heap() - before; grown > 4*many {
			t.Errorf("%s: %d bytes are held after %d pieces", f, grown, many)
		}
		if counts, err := l.Close(); err != nil || counts.Events != 2*many {
			t.Errorf("%s: %+v, %v", f, counts, err)
		}
	}
}

// lives sends pieces through a log, each from its mould to the tip.
func lives(l *eventlog.Log, from, to uint64) {
	for piece := from; piece < to; piece++ {
		o := plant.Observation{At: des.Hour, Piece: piece, Ware: "pan", Event: "filled", Mould: plant.Parentage{No: 1, Case: 1, Block: 1, Cast: 1}}
		l.Observe(o)
		o.Event, o.Where = "lost", "lost.white.crack"
		l.Observe(o)
	}
}

// heap is what is held in memory, bytes.
func heap() int64 {
	runtime.GC()
	var m runtime.MemStats
	runtime.ReadMemStats(&m)
	return int64(m.HeapAlloc)
}
