package eventlog

import (
	"bufio"
	"fmt"
	"io"
	"slices"
	"strconv"

	"potbank/internal/plant"
)

// always is the time of what does not change in an object's life: that of the
// example in the public description of OCEL 2.0.
const always = "1970-01-01T00:00:00Z"

// objectTypes declares the types with their attributes. A piece's grade is set
// at the time it is packed.
const objectTypes = `[
{"name":"piece","attributes":[{"name":"ware","type":"string"},{"name":"cast","type":"integer"},{"name":"grade","type":"string"}]},
{"name":"mould","attributes":[{"name":"ware","type":"string"},{"name":"number","type":"integer"},{"name":"life","type":"integer"}]},
{"name":"case","attributes":[{"name":"ware","type":"string"},{"name":"number","type":"integer"},{"name":"block","type":"integer"}]},
{"name":"load","attributes":[{"name":"kiln","type":"string"},{"name":"number","type":"integer"}]},
{"name":"order","attributes":[{"name":"ware","type":"string"},{"name":"quantity","type":"integer"},{"name":"due","type":"string"}]}
]`

// eventAttributes are those that every type of event declares; an event carries
// those that it has something to say in.
const eventAttributes = `[{"name":"lifecycle","type":"string"},{"name":"resource","type":"string"},{"name":"section","type":"string"},{"name":"stage","type":"string"},{"name":"cause","type":"string"},{"name":"grade","type":"string"},{"name":"filled","type":"time"}]`

// objectLog writes OCEL 2.0 JSON. The list of events is written as they come.
// The list of objects has to wait for it in the spool, where an object is put
// when it is first named, and a piece when it leaves.
type objectLog struct {
	w       *bufio.Writer
	spool   io.ReadWriteSeeker
	objects *bufio.Writer // to the spool
	many    int64         // objects so far
	about   About
	named   seen            // moulds, cases and loads, by kind and name
	orders  map[string]bool // named
	open    map[uint64]*body
	types   map[string]bool // of events
	texts   map[string]string
	pieces  int64
	b       []byte
}

// body is what the object of a piece will say.
type body struct {
	ware  string
	mould plant.Parentage
	grade string
	at    string // when the grade was given
	order string
}

func newObjectLog(w io.Writer, spool io.ReadWriteSeeker, a About) *objectLog {
	o := &objectLog{
		w: bufio.NewWriterSize(w, 1<<16), spool: spool, objects: bufio.NewWriterSize(spool, 1<<16), about: a,
		orders: map[string]bool{}, open: map[uint64]*body{}, types: map[string]bool{}, texts: map[string]string{},
	}
	fmt.Fprintf(o.w, "{\"objectTypes\":%s,\n\"events\":[", objectTypes)
	return o
}

// write implements encoder.
func (o *objectLog) write(e *event) error {
	p := o.open[e.Piece]
	if p == nil {
		p = &body{ware: e.Ware, mould: e.Mould}
		o.open[e.Piece] = p
		o.pieces++
	}
	o.types[e.activity] = true
	b := o.b[:0]
	if e.no > 1 {
		b = append(b, ',')
	}
	b = append(strconv.AppendInt(append(b, "\n{\"id\":\"event:"...), e.no, 10), `","type":"`...)
	b = append(append(b, o.text(e.activity)...), `","time":"`...)
	b = append(append(b, e.time...), `","attributes":[`...)
	b = o.attribute(b, "lifecycle", e.lifecycle)
	b = o.attribute(b, "resource", e.resource)
	b = o.attribute(b, "section", e.Section)
	b = o.attribute(b, "stage", e.stage)
	b = o.attribute(b, "cause", e.cause)
	b = o.attribute(b, "grade", e.Grade)
	b = o.attribute(b, "filled", e.filled)
	b = append(append(b, `],"relationships":[{"objectId":"`...), pieceID(e.Piece)...)
	b = append(b, `","qualifier":"piece"}`...)
	b = o.relate(b, e)
	o.b = append(b, "]}"...)
	if _, err := o.w.Write(o.b); err != nil {
		return err
	}
	if !e.leaves() {
		return nil
	}
	if e.Grade != "" {
		p.grade, p.at, p.order = e.Grade, string(e.time), e.Order
	}
	delete(o.open, e.Piece)
	return o.piece(e.Piece, p)
}

// relate adds the objects that an event touches besides the piece, and puts
// those in the spool that have not been named before.
func (o *objectLog) relate(b []byte, e *event) []byte {
	if e.Event == "filled" {
		o.mould(e.Ware, &e.Mould)
		b = relationship(b, o.mouldID(e.Ware, e.Mould.No), "tool")
		b = relationship(b, o.caseID(e.Ware, e.Mould.Case), "parent of the tool")
	}
	if e.fires() {
		id := o.id("load", e.Kiln, int(e.Load))
		if o.named.first("load:"+e.Kiln, e.Load) {
			o.object(id, "load", o.fixed("kiln", e.Kiln)+","+fixedNumber("number", int(e.Load)), "")
		}
		b = relationship(b, id, "fired with")
	}
	if e.Order != "" {
		if !o.orders[e.Order] {
			o.orders[e.Order] = true
			o.order(e.Order)
		}
		b = relationship(b, o.orderID(e.Order), "counts towards")
	}
	return b
}

// piece puts the object of a piece into the spool.
func (o *objectLog) piece(serial uint64, p *body) error {
	attributes, relations := o.fixed("ware", p.ware), ""
	if p.mould.No > 0 {
		attributes += "," + fixedNumber("cast", p.mould.Cast)
		o.mould(p.ware, &p.mould)
		relations = related(o.mouldID(p.ware, p.mould.No), "cast in")
	}
	if p.grade != "" {
		attributes += fmt.Sprintf(`,{"name":"grade","time":"%s","value":"%s"}`, p.at, p.grade)
	}
	if p.order != "" {
		if relations != "" {
			relations += ","
		}
		relations += related(o.orderID(p.order), "counts towards")
	}
	return o.object(pieceID(serial), "piece", attributes, relations)
}

// mould puts a mould and its case into the spool, if they are not there yet.
func (o *objectLog) mould(ware string, m *plant.Parentage) {
	if o.named.first("mould:"+ware, uint64(m.No)) {
		o.object(o.mouldID(ware, m.No), "mould", o.fixed("ware", ware)+","+fixedNumber("number", m.No)+","+fixedNumber("life", m.Life),
			related(o.caseID(ware, m.Case), "poured in"))
	}
	if o.named.first("case:"+ware, uint64(m.Case)) {
		o.object(o.caseID(ware, m.Case), "case", o.fixed("ware", ware)+","+fixedNumber("number", m.Case)+","+fixedNumber("block", m.Block), "")
	}
}

// order puts an order into the spool.
func (o *objectLog) order(name string) {
	i := slices.IndexFunc(o.about.Orders, func(in plant.Order) bool { return in.Name == name })
	if i < 0 {
		o.object(o.orderID(name), "order", "", "")
		return
	}
	in := &o.about.Orders[i]
	attributes := o.fixed("ware", in.Ware) + "," + fixedNumber("quantity", in.Quantity)
	if in.Due != "" {
		attributes += "," + o.fixed("due", in.Due)
	}
	o.object(o.orderID(name), "order", attributes, "")
}

// object puts one object into the spool.
func (o *objectLog) object(id, kind, attributes, relations string) error {
	if o.many++; o.many > 1 {
		o.objects.WriteByte(',')
	}
	_, err := fmt.Fprintf(o.objects, "\n{\"id\":\"%s\",\"type\":\"%s\",\"attributes\":[%s],\"relationships\":[%s]}", id, kind, attributes, relations)
	return err
}

// close implements encoder: it puts the objects behind the events, and the
// types of events behind them, which are known only now.
func (o *objectLog) close() (int64, error) {
	left := make([]uint64, 0, len(o.open))
	for piece := range o.open {
		left = append(left, piece)
	}
	slices.Sort(left)
	for _, piece := range left {
		o.piece(piece, o.open[piece])
	}
	if err := o.objects.Flush(); err != nil {
		return 0, err
	}
	if _, err := o.spool.Seek(0, io.SeekStart); err != nil {
		return 0, err
	}
	o.w.WriteString("],\n\"objects\":[")
	if _, err := io.Copy(o.w, o.spool); err != nil {
		return 0, err
	}
	o.w.WriteString("],\n\"eventTypes\":[")
	names := make([]string, 0, len(o.types))
	for name := range o.types {
		names = append(names, name)
	}
	slices.Sort(names)
	for i, name := range names {
		if i > 0 {
			o.w.WriteByte(',')
		}
		fmt.Fprintf(o.w, "\n{\"name\":\"%s\",\"attributes\":%s}", o.text(name), eventAttributes)
	}
	o.w.WriteString("]}\n")
	return o.pieces, o.w.Flush()
}
