package plant

import (
	"fmt"

	"potbank/internal/des"
)

// MasterResult is what became of a fault in the tooling in one replication.
// Money is in millionths of the currency; times that never came are des.Never.
type MasterResult struct {
	FirstCast des.Time // first bad cast
	FirstSeen des.Time // first fault of a bad piece that was seen and known
	Alarm     des.Time // the true one
	Stop      des.Time // bad tools known and out of use
	Released  des.Time // new cases proven; the stop where none had to be made
	Refilled  des.Time // all mould places of the ware have moulds again

	Gate        string // that raised the alarm
	FalseAlarms int    // alarms looked into, up to the stop, that were none

	Cast, CastAlarm, CastStop int64 // bad casts: in all, up to the alarm, up to the stop
	Showing                   int64 // of all bad casts, those with the fault
	FiredBad                  int64 // bad pieces taken out after a fire

	Gates    []MasterGateCount
	Scrapped []MasterScrap // taken out because of the fault, by section; the last is the store
	Suspects []MasterSuspects
	Sorted   int64 // suspects inspected one by one, at the trace level of the plan

	MouldsBroken, CasesBroken int64

	GoodPacked int64 // A pieces of the ware without the fault, packed and not taken out of the store
	ShippedBad int64 // pieces with the fault dispatched
	Returned   int64 // of them, those that come back, before the end of the run or after
	Complaints int64 // those that came back before the end of the run

	Passages []Passage // if asked for
}

// MasterGateCount is what one gate did.
type MasterGateCount struct {
	Name      string
	Inspected int64
	Found     int64 // pieces with the fault
	Rejected  int64 // good ones thrown away
	Destroyed int64 // good ones lost to the inspection itself
	False     int64 // alarms that were none
}

// MasterScrap is what was taken out in one section because of the fault, net of
// the credit for clay and with the disposal of fired scrap.
type MasterScrap struct {
	Section      string
	Pieces, Good int64 // all; of them those that were not bad
	Value        int64
}

// MasterSuspects is how many pieces are suspect at one trace level at the stop.
type MasterSuspects struct {
	Level        string
	Works, Store int64 // pieces in the works, and packed in the store
	Shipped      int64
	Good         int64 // of those in works and store, those that are not bad
	Value        int64 // of those in works and store
	Moulds       int64 // working moulds to be measured or broken
}

// Passage is the history of one piece cast after the birth of the fault. It is
// enough to tell what other gates would have seen of it.
type Passage struct {
	Key    uint64 // identity, for draws
	Filled des.Time
	Gone   des.Time // packed, lost, or the end of the run
	// Passed is when it came by each of GatePlaces but the last; 0: it did not.
	Passed     [placeCustomer]des.Time
	Bad, Shows bool
	Packed     bool
	Inside     bool // still in the works at the end of the run
	First      bool // first cast of its mould
	Mould      int32
	Case       int32
	Block      int32
	Bench      uint64
	Made       des.Time // its mould was poured
}

func newMasterResult(in *MasterFault) *MasterResult {
	res := &MasterResult{FirstCast: des.Never, FirstSeen: des.Never, Alarm: des.Never, Stop: des.Never, Released: des.Never, Refilled: des.Never}
	for _, g := range in.Gates {
		res.Gates = append(res.Gates, MasterGateCount{Name: g.Name})
	}
	for _, name := range append(sectionNames[:len(sectionNames):len(sectionNames)], "store") {
		res.Scrapped = append(res.Scrapped, MasterScrap{Section: name})
	}
	for _, level := range TraceLevels {
		res.Suspects = append(res.Suspects, MasterSuspects{Level: level})
	}
	return res
}

// scrap books one piece taken out.
func (r *MasterResult) scrap(section string, value int64, good bool) {
	for k := range r.Scrapped {
		if s := &r.Scrapped[k]; s.Section == section {
			s.Pieces++
			s.Value += value
			if good {
				s.Good++
			}
		}
	}
}

// keepPassage notes the history of a piece that leaves the works.
func (m *master) keepPassage(i pieceID) {
	p, mark := &m.r.pieces[i], &m.marks[i]
	m.res.Passages = append(m.res.Passages, Passage{
		Key: p.key, Filled: p.filled, Gone: m.r.sim.Now(), Passed: mark.passed, Bad: mark.bad, Shows: mark.shows, Packed: mark.packed,
		First: mark.first, Mould: mark.mould, Case: mark.caseNo, Block: mark.block, Bench: mark.bench, Made: mark.made,
	})
}

// result closes the record of the fault; nil if there was no plan of one.
func (m *master) result() *MasterResult {
	if m == nil {
		return nil
	}
	if m.in.Passages {
		for i := range m.r.pieces {
			if p := &m.r.pieces[i]; p.serial != 0 && m.marks[i].tracked && p.filled >= m.in.Born {
				m.keepPassage(pieceID(i))
				last := &m.res.Passages[len(m.res.Passages)-1]
				last.Inside, last.Gone = true, m.r.end()
			}
		}
	}
	return m.res
}

// law: every bad cast was lost as any piece may be, taken out, packed, or is in
// the works.
func (m *master) law() *law {
	l := &law{name: "bad master: bad casts = lost + taken out + packed + in the works"}
	var inside int64
	for i := range m.r.pieces {
		if m.r.pieces[i].serial != 0 && m.marks[i].bad {
			inside++
		}
	}
	out := m.bad.lost + m.bad.removed + m.bad.packed
	l.check(m.res.Cast == out+inside, func() string {
		return fmt.Sprintf("%d bad casts; %d lost, %d taken out, %d packed, %d in the works", m.res.Cast, m.bad.lost, m.bad.removed, m.bad.packed, inside)
	})
	return l
}
