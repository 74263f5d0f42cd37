package eventlog

import (
	"strings"

	"potbank/internal/calendar"
	"potbank/internal/plant"
)

// event is one observation in the words of a log.
type event struct {
	*plant.Observation
	no        int64  // in the log, from 1
	activity  string // what happened
	lifecycle string // start or complete
	resource  string // crew, booth, dryer, kiln or bench; empty where there is none
	stage     string // of a loss: where
	cause     string // of a loss: why
	time      []byte // ISO 8601 with offset
	filled    string // of a piece in stock at the start: when it was filled; empty: not known
}

// stamp is ISO 8601 to the millisecond, with the offset written as digits even
// in UTC, so that the column has one width.
const stamp = "2006-01-02T15:04:05.000-07:00"

// read takes in an observation; what it held before is lost.
func (e *event) read(o *plant.Observation, clock calendar.Clock, no int64) {
	*e = event{Observation: o, no: no, activity: o.Event, lifecycle: "complete", resource: o.Where, time: clock.Civil(o.At).AppendFormat(e.time[:0], stamp)}
	switch o.Event {
	case "taken up":
		e.activity, e.lifecycle = desks[o.Section], "start"
	case "filled", "into dryer", "into the kiln":
		e.lifecycle = "start"
	case "lost":
		_, cause, _ := strings.Cut(o.Where, ".")
		e.stage, e.cause, _ = strings.Cut(cause, ".")
		e.resource = ""
	case "in stock":
		if o.Filled != 0 {
			e.filled = clock.Civil(o.Filled).Format(stamp)
		}
	}
}

// leaves tells that the piece is gone after the event.
func (e *event) leaves() bool { return e.Event == "packed" || e.Event == "lost" }

// fires tells that the event belongs to the fire of a car or load that has a
// number; what was in a kiln at the start has none.
func (e *event) fires() bool {
	return e.Load > 0 && (e.Event == "into the kiln" || e.Event == "out of the kiln")
}

// desks are the activities of taking a piece up, by section; made once, since
// half of all events are one of them.
var desks = map[string]string{}

func init() {
	for _, s := range plant.SectionNames() {
		desks[s] = "taken up: " + s
	}
}
