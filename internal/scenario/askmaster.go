package scenario

import (
	"fmt"
	"reflect"
	"strings"

	"potbank/internal/des"
	"potbank/internal/plant"
	"potbank/internal/quantity"
	"potbank/internal/random"
)

// MasterSection is what the question of the bad master asks besides the works: the
// fault, the gates that watch or might watch, what happens when it is found, and
// what things cost.
type MasterSection struct {
	Ware   string         `key:"ware" ref:"ware" doc:"ware whose tooling is at fault"`
	Node   string         `key:"node" default:"case" oneof:"model,block,case,mould,punch" doc:"where the fault is born: all that is made from it from then on is bad"`
	Number int            `key:"number" default:"0" doc:"which block, case set or working mould; 0: the first in use, a mould that is drawn"`
	Kind   string         `key:"kind" default:"size" oneof:"size,hole,waterway,weak wall,surface,warp" doc:"what is wrong; sets what gates find and what shows where these are left out"`
	Date   string         `key:"date" optional:"yes" doc:"date on which the fault is born; left out, four weeks after the start, when the works is warm"`
	AtOnce bool           `key:"at-once" default:"no" doc:"yes: the moulds on the benches are bad too, as when a new model is released on all of them"`
	Share  quantity.Share `key:"share" default:"100 %" doc:"punch: share of the pieces that go through it"`
	Shows  quantity.Share `key:"shows" optional:"yes" doc:"share of the bad pieces that show the fault; the others are good. Left out, by the kind"`
	Yearly float64        `key:"per-year" default:"1" doc:"such faults a year; it multiplies what one costs, and nothing else"`

	Gates      []GateSection `key:"gates" doc:"gates that watch for the fault or might, by name"`
	Complaints AlarmSection  `key:"complaints" optional:"yes" doc:"complaints that make an alarm: the last resort, always there"`

	React   des.Time       `key:"reaction" default:"1 d" doc:"from an alarm to the stop, or to finding that it was a false one"`
	Trace   string         `key:"trace" default:"case" oneof:"none,day,bench,mould,case,piece" doc:"what is marked on a piece: nothing, its day, bench, mould, mould and case, or a record of its own"`
	Dispose string         `key:"suspects" default:"sort" oneof:"sort,scrap" doc:"whether suspects are sorted one by one, or scrapped"`
	Finds   quantity.Share `key:"sorting-finds" default:"95 %" doc:"share of the faulty suspects that sorting finds"`
	Rejects quantity.Share `key:"sorting-rejects" default:"2 %" doc:"share of the good suspects that sorting throws away"`

	Store     des.Time       `key:"store" default:"14 d" doc:"from packing to dispatch"`
	Returns   quantity.Share `key:"returns" default:"20 %" doc:"share of the faulty pieces dispatched that comes back"`
	Complains random.Law     `key:"complaint-after" unit:"time" default:"triangular(30 d, 60 d, 120 d)" doc:"from dispatch to the complaint"`

	Tooling  des.Time `key:"tooling" optional:"yes" doc:"from the stop until new cases are there; left out, 5 d for a case, 8 d for a block, 11 d for a model"`
	Proof    des.Time `key:"proof" default:"6 d" doc:"from the first cast in a new case's mould to its fired proof; no moulds for the benches before it"`
	Unproven bool     `key:"unproven" default:"no" doc:"yes: moulds for the benches are poured before the proof"`

	Release *ReleaseSection    `key:"release-check" optional:"yes" doc:"inspection of a tool before its release"`
	Pilot   *PilotSection      `key:"pilot" optional:"yes" doc:"trial firing of a few pieces before the release of a tool"`
	Money   MasterMoneySection `key:"money" optional:"yes" doc:"what things cost"`

	Constraint   string         `key:"constraint" default:"auto" oneof:"auto,casting,kiln" doc:"where a bad piece takes the place of a good one; auto: whichever is fuller by hand"`
	Weeks        int            `key:"weeks" default:"32" doc:"weeks simulated, those before the fault included; long enough for complaints and recovery"`
	Replications int            `key:"replications" default:"12" doc:"fewest replications, each without the fault and with it for every gate"`
	Most         int            `key:"most-replications" default:"16" doc:"replications after which it stops short of its precision"`
	Precision    quantity.Share `key:"precision" default:"20 %" doc:"half-width of the 95 % interval of the mean cost of a fault under today's watch, relative to it"`
	Redraws      int            `key:"redraws" default:"20" doc:"times that the luck of inspection is redrawn on each history"`
}

// GateSection is a gate at which the fault may be seen.
type GateSection struct {
	Name     string         `key:"-"`
	At       string         `key:"at" oneof:"first-off,leather-hard,white,fired,test" doc:"first-off: the first cast of each mould, at the end of finishing; leather-hard: the end of finishing; white: after white inspection; fired: at sorting; test: A pieces before the tests"`
	InUse    bool           `key:"in-use" default:"no" doc:"yes: it watches today; no: it might"`
	Inspects quantity.Share `key:"inspects" default:"100 %" doc:"share of the pieces that come by that is inspected"`
	Finds    quantity.Share `key:"finds" optional:"yes" doc:"share of the faults inspected that is found; left out, by the kind of fault and the place"`
	Rejects  quantity.Share `key:"false-alarms" default:"0 %" doc:"share of the good pieces inspected that is thrown away as faulty"`
	Base     quantity.Share `key:"base-rate" default:"0 %" doc:"share of the good pieces inspected that shows the like and is counted, but is not lost by that"`
	Destroys bool           `key:"destructive" default:"no" doc:"yes: what is inspected is lost"`
	Result   des.Time       `key:"result-after" default:"0 d" doc:"from the inspection until its result is known"`
	Each     quantity.Money `key:"each" default:"0 EUR" doc:"cost of inspecting one piece"`
	Upkeep   quantity.Money `key:"upkeep-per-year" default:"0 EUR" doc:"cost of keeping the gate, besides"`
	Alarm    AlarmSection   `key:"alarm" optional:"yes" doc:"when faults become an alarm"`
}

// AlarmSection says when faults become an alarm.
type AlarmSection struct {
	Faults    int            `key:"faults" default:"3" doc:"so many faults of one parent"`
	Within    des.Time       `key:"within" default:"2 wk" doc:"in this time; 0 d: ever"`
	By        string         `key:"by" default:"case" oneof:"ware,day,bench,mould,case,block" doc:"parent that faults are counted by"`
	Good      quantity.Share `key:"cusum-good" optional:"yes" doc:"fault rate of good ware, for a cumulative sum instead of a count"`
	Bad       quantity.Share `key:"cusum-bad" optional:"yes" doc:"fault rate of bad ware, likewise"`
	Threshold float64        `key:"cusum-threshold" default:"7.6" doc:"of the cumulative sum; 7.6 is ln 2,000: at least 2,000 pieces of one parent between false alarms"`
}

// ReleaseSection is an inspection before release.
type ReleaseSection struct {
	Finds  quantity.Share `key:"finds" default:"70 %" doc:"chance that it finds the fault"`
	Rework quantity.Money `key:"rework" default:"0 EUR" doc:"cost if it does"`
	Each   quantity.Money `key:"each" default:"0 EUR" doc:"cost of one inspection"`
	Yearly float64        `key:"per-year" default:"1" doc:"releases a year"`
}

// PilotSection is a pilot firing before release.
type PilotSection struct {
	Pieces int            `key:"pieces" default:"6" doc:"pieces fired and measured"`
	Finds  quantity.Share `key:"finds" default:"70 %" doc:"chance that a piece with the fault is found out"`
	Each   quantity.Money `key:"each" default:"0 EUR" doc:"cost of one trial"`
	Yearly float64        `key:"per-year" default:"1" doc:"releases a year"`
	Delay  des.Time       `key:"delay" default:"0 d" doc:"by which a release is later"`
	PerDay quantity.Money `key:"delay-cost" default:"0 EUR" doc:"margin lost for a day's delay; nothing with a spare tool"`
}

// MasterMoneySection is what things cost. Prices of working moulds and case sets that are
// left out are those of the mould shop.
type MasterMoneySection struct {
	Tool   quantity.Money `key:"tool" default:"0 EUR" doc:"mending the model, block, mould or punch at fault"`
	Case   quantity.Money `key:"case" optional:"yes" doc:"one new case set"`
	Mould  quantity.Money `key:"mould" optional:"yes" doc:"one new working mould"`
	Sort   quantity.Money `key:"sort" default:"0 EUR" doc:"sorting one suspect"`
	False  quantity.Money `key:"false-alarm" default:"0 EUR" doc:"looking into an alarm that was none"`
	Return quantity.Money `key:"return" default:"0 EUR" doc:"one piece that comes back: piece, freight, fitter, claim"`
	Late   quantity.Money `key:"late-per-day" default:"0 EUR" doc:"an order that the fault makes later, for each day"`
	Margin PerWareMoney   `key:"margin" optional:"yes" doc:"price less variable cost of a good piece, by ware: what a piece not made loses; left out, the price of the ware less its stage costs, where it has a price"`
}

// PerWareMoney is money given once for all wares, or by ware.
type PerWareMoney = plant.PerWare[quantity.Money]

// masterKey is the section whose values may be inputs of a question.
const masterKey = "master"

// OfQuestion tells whether the value is one of the question's own, such as
// master.gates.white-gauge.finds, and not of the works.
func (in Input) OfQuestion() bool { return strings.HasPrefix(in.Path, masterKey+".") }

// ownInputs lists the shares of the section that were counted, with the tenth and the
// ninetieth percentile of what the count leaves open.
func (a *Asked) ownInputs(evidence []Evidence) []Input {
	var all []Input
	for _, e := range evidence {
		in := Input{Path: e.Path, Rests: e.String()}
		if e.Kind != Counted || !in.OfQuestion() {
			continue
		}
		at := func(u float64) string { return fmt.Sprintf("%.4g %%", 100*random.Proportion(u, e.Hits, e.Of)) }
		in.Low, in.High = at(.1), at(.9)
		all = append(all, in)
	}
	return all
}

// LeaningMaster returns the section with values of its own moved to one of their
// sides each; sides go with inputs. It is nil, with the faults, if it cannot be so.
// How much is run is no input.
func (a *Asked) LeaningMaster(inputs []Input, sides []Side) (*MasterSection, []Fault) {
	q, faults := a.again(overlaid(inputs, sides))
	if refuses(faults) {
		return nil, faults
	}
	m, was := q.Master, a.Master
	if m == nil || was == nil || m.Weeks != was.Weeks || m.Replications != was.Replications || m.Most != was.Most || m.Precision != was.Precision || m.Redraws != was.Redraws {
		return nil, []Fault{{File: a.Path, What: "how much is run is no input", Hint: "move a value of the fault, of a gate or of the money", Code: Refused}}
	}
	return m, nil
}

// DefaultMaster is a question about a ware with every default taken, without
// gates: for those who ask by flags.
func DefaultMaster(ware, currency string) *MasterSection {
	a := &MasterSection{}
	defaultsOf(a, currency)
	a.Ware = ware
	return a
}

// DefaultGate is a gate at a place with every default taken.
func DefaultGate(at, currency string) GateSection {
	g := GateSection{}
	defaultsOf(&g, currency)
	g.Name, g.At = at, at
	return g
}

// defaultsOf fills a section as if the file left all of it out.
func defaultsOf(section any, currency string) {
	d := &decoder{currency: currency, zone: "UTC", places: map[string]place{}, values: map[string]*value{}, names: map[string][]entry{}}
	d.section(nil, place{}, "", reflect.ValueOf(section).Elem())
}
