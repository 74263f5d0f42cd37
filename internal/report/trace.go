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
		Lead:  []string{fmt.Sprintf("%s (%s). Followed from %s for %s.", s.Path, shortHash(s.Hash), stamp(clock, first.At), span(last.At-first.At))},
	}
	t := &Table{Columns: []Column{
		{Head: "When", Text: true}, {Head: "Waited"}, {Head: "What happened", Text: true, Wide: 30}, {Head: "Where, and more", Text: true, Wide: 36},
	}}
	for _, o := range seen {
		t.add(stamp(clock, o.At), waited(o.Waited), o.Event, place(o))
	}
	d.add(Part{Table: t})
	return d
}

// stamp is a date and time to the minute, with its weekday.
func stamp(clock calendar.Clock, at des.Time) string {
	return clock.Civil(at).Format("Mon 2006-01-02 15:04")
}

// waited prints a wait; none is left blank.
func waited(t des.Time) string {
	if t <= 0 {
		return ""
	}
	return span(t)
}

// span prints a span in hours and minutes, rounded to the minute.
func span(t des.Time) string {
	minutes := int64((t + des.Minute/2) / des.Minute)
	if minutes < 60 {
		return fmt.Sprintf("%d min", minutes)
	}
	return fmt.Sprintf("%d h %02d", minutes/60, minutes%60)
}

// place says where an observation was made, what it adds, and what ended the
// wait before it.
func place(o plant.Observation) string {
	var parts []string
	for _, text := range []string{o.Section, o.Where, o.Detail} {
		if text != "" {
			parts = append(parts, text)
		}
	}
	text := strings.Join(parts, ", ")
	if o.Released != "" {
		text += "; released by " + o.Released
	}
	return text
}
