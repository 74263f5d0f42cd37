package scenario

import (
	"potbank/internal/des"
	"potbank/internal/quantity"
)

// A Question is what a question file says: which works, what might be done to
// it, in which futures, and what to judge by. Like plant.Works the struct is
// the format; its tags are explained there. What only one kind of question
// asks stands in a section of that kind.
type Question struct {
	Format  int      `key:"question" doc:"format of this file; this program reads 1"`
	Ask     string   `key:"ask" oneof:"compare,size,promise,master" doc:"the command that answers it"`
	Title   string   `key:"title" optional:"yes" doc:"the question in one line, shown on the answer"`
	Base    string   `key:"base" doc:"scenario of the works as it is: a file beside this one or in the folder above, such as ../plant-a.yaml"`
	Run     Changes  `key:"run" optional:"yes" doc:"keys of the scenario's run section that this question sets otherwise: length, replications, seed"`
	Options []Option `key:"options" optional:"yes" doc:"what might be done, by name; the works as it is comes first and is called today"`
	Grid    []Axis   `key:"grid" optional:"yes" doc:"axes of choices, by name; every combination of one choice an axis is an option"`
	Futures []Future `key:"futures" optional:"yes" doc:"what might come, by name; left out, all stays as it is"`
	Judge   Judge    `key:"judge" optional:"yes" doc:"what decides among the options"`
	Inputs  []Range  `key:"inputs" optional:"yes" doc:"values of the base, or of the section master, that nobody knows exactly, and between which two they lie; what the answer hangs on is found by moving them"`

	Compare *CompareSection `key:"compare" optional:"yes" doc:"terms of a comparison of shift patterns: money, nights, rules on working time"`
	Size    *SizeSection    `key:"size" optional:"yes" doc:"what a question about a new kiln wants of the works, and on what terms"`
	Master  *MasterSection  `key:"master" optional:"yes" doc:"a fault in the tooling of a ware, and the gates at which it may be caught"`
	Promise *PromiseSection `key:"promise" optional:"yes" doc:"what a question about the date of an order says of it; its options are the levers that might bring the date forward"`
}

// Range is where a value is thought to lie.
type Range struct {
	Key  string `key:"key" doc:"the value's keys, such as ware.pan.yields.white, or master.gates.white-gauge.finds"`
	Low  string `key:"low" doc:"one chance in ten that it is lower; written as in a scenario"`
	High string `key:"high" doc:"one chance in ten that it is higher"`
}

// Option is one thing that might be done: a file that changes the base, some
// changes written here, or both, and what it takes.
type Option struct {
	Name    string         `key:"-"`
	File    string         `key:"file" optional:"yes" doc:"a scenario, or a file that changes the base, beside the base"`
	Changes Changes        `key:"changes" optional:"yes" doc:"keys of the scenario that are otherwise"`
	Capital quantity.Money `key:"capital" default:"0 EUR" doc:"money to be spent at once"`
	Life    des.Time       `key:"life" default:"15 yr" doc:"years over which the capital is written off"`
	Rest    quantity.Money `key:"residual" default:"0 EUR" doc:"what is left of the capital at the end of its life"`
	Upkeep  quantity.Money `key:"upkeep-per-year" default:"0 EUR" doc:"fixed cost a year that is in no other line: maintenance, insurance, minding; a saving is another option's cost"`
}

// Axis is one dimension of a grid.
type Axis struct {
	Name    string   `key:"-"`
	Choices []Option `key:"choices" doc:"the choices along this axis, by name; what they take adds up"`
}

// Future is one state of the world in which every option is tried.
type Future struct {
	Name    string         `key:"-"`
	Weight  quantity.Share `key:"weight" default:"100 %" doc:"how likely it is taken to be; weights are scaled to add up to 100 %"`
	Changes Changes        `key:"changes" optional:"yes" doc:"keys of the scenario that are otherwise"`
}

// Judge says what decides.
type Judge struct {
	By      []string           `key:"by" optional:"yes" doc:"measure that decides; further ones are compared too; left out, packed.total"`
	Best    string             `key:"best" optional:"yes" oneof:"least,greatest" doc:"whether less or more of it is better; left out, as is known of it"`
	Matters string             `key:"matters" optional:"yes" doc:"smallest difference that matters: 25 pieces/wk, 0.20 EUR, or a share of today's value; left out, 1 %"`
	AtLeast map[string]float64 `key:"at-least" optional:"yes" doc:"measures that must not be below a value, in their units"`
	AtMost  map[string]float64 `key:"at-most" optional:"yes" doc:"measures that must not be above a value, in their units"`
	Service quantity.Share     `key:"service" default:"95 %" doc:"probability with which at-least and at-most must hold"`
}

// Changes are keys of a scenario that are otherwise than in the base, kept as
// they are written until they are laid over it.
type Changes struct{ tree *value }

// Any tells whether there are any.
func (c Changes) Any() bool { return c.tree != nil && len(c.tree.entries) > 0 }
