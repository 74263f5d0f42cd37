package report

import (
	"fmt"
	"strings"

	"potbank/internal/calendar"
	"potbank/internal/des"
	"potbank/internal/experiment"
	"potbank/internal/plant"
)

// TraceDocument lays out the story of one piece, in the order in which it
// happened. There must be at least one observation, and all of one piece.
func TraceDocument(s experiment.Scenario, clock calendar.Clock, seen []plant.Observation) Document {
	first, last := seen[0], seen[len(seen)-1]
	d := Document{
		Title: fmt.Sprintf("Piece %d, %s", first.Piece, first.Ware),
		Lead: []string{fmt.Sprintf("%s (%s). Followed from %s for %s.",
			s.Path, shortHash(s.Hash), stamp(clock, first.At), span(last.At-first.At))},
	}
	t := &Table{Columns: []Column{
		{Head: "When", Text: true}, {Head: "Waited before"}, {Head: "for", Text: true},
		{Head: "What happened", Text: true, Wide: 20}, {Head: "Where, and more", Text: true, Wide: 32},
	}}
	before := &first
	for i := range seen {
		o := &seen[i]
		t.add(stamp(clock, o.At), waited(o, before), o.Released(before), o.Event, place(o))
		before = o
	}
	d.add(Part{Table: t})
	return d
}

// stamp is a date and time to the minute, with its weekday: who reads a trace
// compares it with what people did on a shift.
func stamp(clock calendar.Clock, at des.Time) string {
	return clock.Civil(at).Format("Mon 2006-01-02 15:04")
}

// waited prints how long a piece waited between two observations; no wait is
// left blank. Work and the refire loop are no waits.
func waited(o, before *plant.Observation) string {
	var wait des.Time
	for k, name := range plant.PartNames() {
		if name != "working" && name != "refire" {
			wait += o.Spent[k] - before.Spent[k]
		}
	}
	if wait < des.Minute/2 {
		return ""
	}
	return span(wait)
}

// span prints a span in hours and minutes, rounded to the minute.
func span(t des.Time) string {
	minutes := int64((t + des.Minute/2) / des.Minute)
	if minutes < 60 {
		return fmt.Sprintf("%d min", minutes)
	}
	return fmt.Sprintf("%d h %02d", minutes/60, minutes%60)
}

// place says where an observation was made and what it adds.
func place(o *plant.Observation) string {
	var parts []string
	for _, text := range []string{o.Section, o.Where, o.Detail} {
		if text != "" {
			parts = append(parts, text)
		}
	}
	return strings.Join(parts, ", ")
}
