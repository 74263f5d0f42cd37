package decision

import (
	"slices"

	"potbank/internal/des"
	"potbank/internal/plant"
	"potbank/internal/random"
)

// A history is what the fault did in one replication while only complaints
// could stop it: every piece of the ware with the times at which it came by
// each place. Up to the stop it does not depend on who watches, but for the few
// pieces that a gate takes out. So what another gate, fraction or mark would
// have seen is played on it again and again, with new luck of inspection, and
// without simulating the works again: the same history serves all of them, and
// outcomes too rare to wait for are met by conditioning on it.
type history struct {
	q      *MasterPlan
	f      worksFacts
	b      base
	number uint64 // of the replication, for draws
	rec    *plant.MasterResult
	all    []plant.Passage
	byTime [][]int32 // pieces in the order in which they come by each place
	bad    []int32   // bad pieces, in the order of filling
	moulds []badMould
	first  map[uint64]des.Time // first bad cast, by bench
}

// badMould is a bad working mould that was cast in.
type badMould struct{ made, last des.Time }

// newHistory arranges the passages of the run that only complaints stopped.
func newHistory(q *MasterPlan, f worksFacts, b base, number int, rec *plant.MasterResult) *history {
	h := &history{q: q, f: f, b: b, number: uint64(number), rec: rec, all: rec.Passages, first: map[uint64]des.Time{}}
	rec.Passages = nil // the record outlives the history
	places := len(plant.GatePlaces) - 1
	h.byTime = make([][]int32, places)
	moulds := map[int32]int{} // place in h.moulds
	for i := range h.all {
		p := &h.all[i]
		for place := range places {
			if p.Passed[place] > 0 {
				h.byTime[place] = append(h.byTime[place], int32(i))
			}
		}
		if !p.Bad {
			continue
		}
		h.bad = append(h.bad, int32(i))
		k, known := moulds[p.Mould]
		if !known {
			k = len(h.moulds)
			moulds[p.Mould] = k
			h.moulds = append(h.moulds, badMould{made: p.Made})
		}
		h.moulds[k].last = max(h.moulds[k].last, p.Filled)
		if since, held := h.first[p.Bench]; !held || p.Filled < since {
			h.first[p.Bench] = p.Filled
		}
	}
	for place := range places {
		slices.SortFunc(h.byTime[place], func(a, b int32) int {
			switch x, y := &h.all[a], &h.all[b]; {
			case x.Passed[place] != y.Passed[place]:
				return int(x.Passed[place] - y.Passed[place])
			case x.Key < y.Key:
				return -1
			}
			return 1
		})
	}
	slices.SortFunc(h.bad, func(a, b int32) int { return int(h.all[a].Filled - h.all[b].Filled) })
	return h
}

// seenAt is a bad piece that a gate took out.
type seenAt struct {
	piece int32
	at    des.Time
	place int
}

// played is what one watch came to on one history.
type played struct {
	cost     MasterCost // without what is starved in recovery
	moulds   float64
	casts    float64 // bad casts up to the stop
	shipped  float64 // of them, those with the fault that were dispatched
	returned float64
	alarm    des.Time
	stop     des.Time
	own      bool // a gate stopped it, not the complaints
}

// play watches a history with some gates, with the luck of one redraw. Complaints
// stop it when they did in the run itself.
func (h *history) play(w watchPolicy, redraw int) played {
	return h.playWith(w, redrawn(h.q.Seed, h.number, redraw))
}

// playWith is play with any luck of inspection.
func (h *history) playWith(w watchPolicy, luck gateLuck) played {
	alarm, stop, own := h.rec.Alarm, min(h.rec.Stop, h.end()), false
	var seen []seenAt
	for k := range w.gates {
		at, found := h.watch(&w.gates[k], luck, stop)
		seen = append(seen, found...)
		if at != des.Never && at+h.q.Fault.React < stop {
			alarm, stop, own = at, at+h.q.Fault.React, true
		}
	}
	p := h.evaluate(w, stop, seen, luck)
	p.alarm, p.own = alarm, own
	return p
}

// replaySeed keeps the luck of replays apart from that of the works.
const replaySeed = 0x9e3779b97f4a7c15

// gateLuck is the luck of inspection, and of what comes back.
type gateLuck struct {
	source random.Source
	family string              // of its purposes
	object func(uint64) uint64 // a piece by its key
}

// redrawn is the luck of one redraw; pieces of different histories have different
// keys.
func redrawn(seed, number uint64, redraw int) gateLuck {
	return gateLuck{random.New(seed^replaySeed, uint32(redraw)), "replay.", func(key uint64) uint64 { return random.Object(key, number) }}
}

// ownLuck is the luck that the gates of the run itself had: what they drew for a
// piece hangs on the piece alone.
func ownLuck(seed, number uint64) gateLuck {
	return gateLuck{random.New(seed, uint32(number)), "master.", func(key uint64) uint64 { return key }}
}

// of gives the draws of one purpose, by piece.
func (l gateLuck) of(name string) func(p *plant.Passage) float64 {
	purpose := random.PurposeOf(l.family + name)
	return func(p *plant.Passage) float64 { return l.source.Uniform(purpose, l.object(p.Key), 0) }
}

// watch lets one gate look at the pieces that come by until it makes a true
// alarm or the time is up, and returns when, with the bad pieces it took out.
func (h *history) watch(g *WatchGate, luck gateLuck, until des.Time) (alarm des.Time, found []seenAt) {
	place := placeOf(g.At)
	if place < 0 || place >= len(h.byTime) {
		return des.Never, nil
	}
	watch := plant.NewWatch(g.Alarm)
	sample, finds, like := luck.of("sample."+g.At), luck.of("finds."+g.At), luck.of("base."+g.At)
	share := g.countedOnly().Base
	alarm = des.Never
	for _, i := range h.byTime[place] {
		p := &h.all[i]
		at := p.Passed[place] + g.Result
		if at-g.Result >= until || alarm != des.Never && at > alarm+h.q.Fault.React {
			break
		}
		ill := p.Bad && p.Shows
		if !ill && g.Alarm.Bad == 0 && share == 0 || place == 0 && !p.First || sample(p) >= g.Fraction {
			continue
		}
		fault := false
		if ill {
			if fault = finds(p) < g.Finds; fault {
				found = append(found, seenAt{i, at - g.Result, place})
			}
		} else {
			fault = like(p) < share
		}
		if alarm != des.Never {
			continue // found while the alarm is looked into
		}
		parent := parentOf(g.Alarm.By, p)
		switch raised, founded := watch.See(at, parent, fault, p.Bad); {
		case raised && founded:
			alarm = at
		case raised:
			watch.Forget(parent)
		}
	}
	return alarm, found
}

// parentOf is what faults of a piece are counted by.
func parentOf(by string, p *plant.Passage) uint64 {
	switch by {
	case "day":
		return uint64(p.Filled / des.Day)
	case "bench":
		return p.Bench
	case "mould":
		return uint64(p.Mould)
	case "case":
		return uint64(p.Case)
	case "block":
		return uint64(p.Block)
	}
	return 0
}

// wornOut is the time after its last cast from which a mould is taken to be
// worn out: it may stand idle for a weekend.
const wornOut = 4 * des.Day
