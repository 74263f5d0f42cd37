package decision

import (
	"fmt"
	"math"
	"strconv"
	"time"

	"potbank/internal/calendar"
	"potbank/internal/stats"
)

// say writes the sentence, what would turn it, and what it rests on.
func (s *promiseStudy) say() {
	a := &s.answer
	a.Recommendation = s.promiseSentence()
	s.turns()
	s.assume()
	s.warn()
}

// longDate is how a date is said.
const longDate = "Monday 2 January 2006"

// sayDate says a civil date.
func sayDate(d calendar.Date) string {
	t, err := time.Parse(time.DateOnly, d.String())
	if err != nil {
		return d.String()
	}
	return t.Format(longDate)
}

// promiseSentence is the one sentence.
func (s *promiseStudy) promiseSentence() string {
	a := &s.answer
	left := a.Quantity - a.Packed
	what := fmt.Sprintf("%s %s", plain(float64(left)), a.Ware)
	if a.Packed > 0 {
		what = fmt.Sprintf("the last %s of %s %s", plain(float64(left)), plain(float64(a.Quantity)), a.Ware)
	}
	if a.Runs == 0 {
		return "No works could be had of what the evidence leaves open: there is no date."
	}
	if a.Promise < 0 {
		return fmt.Sprintf("Promise no date for %s: in %d of %d runs they were not done within the weeks simulated.", what, a.Unfinished, a.Runs)
	}
	text := fmt.Sprintf("Promise %s for %s, the first day by whose end they are done in at least %s of %d runs (%s)",
		what, sayDate(a.Promise), wholeShare(a.Service), a.Runs, oddsOf(a.Chance))
	switch {
	case a.Due.IsZero():
	case a.InTime.Value >= a.Service:
		text += fmt.Sprintf("; the date asked for, %s, is met with %s", a.Due.Format(longDate), oddsOf(a.InTime))
	default:
		text += fmt.Sprintf("; do not promise %s, which is met with %s only", a.Due.Format(longDate), oddsOf(a.InTime))
	}
	if len(a.Levers) > 0 && a.Levers[0].Sure {
		l := a.Levers[0]
		gain, mean, runs := l.AtService, l.Mean, "the pairs that also chose it"
		if l.Fresh != nil {
			gain, mean, runs = *l.Fresh, *l.FreshMean, fmt.Sprintf("%d fresh pairs of runs", l.Fresh.N)
		}
		text += fmt.Sprintf("; the cheapest days are won by %s: %s d on average, %s d of the %s date, for %s %s (%s)", l.Name, dayGain(mean), dayGain(gain), wholeShare(a.Service), plain(l.Cost), a.Currency, runs)
	}
	return text + "."
}

// oddsOf says a probability with its interval.
func oddsOf(e stats.Estimate) string {
	if !e.HasInterval() {
		return wholeShare(e.Value)
	}
	return fmt.Sprintf("%s, interval %s to %s", wholeShare(e.Value), wholeShare(e.Low), wholeShare(e.High))
}

// wholeShare prints a probability in whole per cent, with a tenth near 0 and 1.
func wholeShare(p float64) string {
	digits := 0
	if p > .99 && p < 1 || p < .01 && p > 0 {
		digits = 1
	}
	return strconv.FormatFloat(100*p, 'f', digits, 64) + " %"
}

// dayGain prints days won with their interval.
func dayGain(e stats.Estimate) string {
	if !e.HasInterval() {
		return strconv.FormatFloat(e.Value, 'f', 1, 64)
	}
	return fmt.Sprintf("%.1f (%.1f to %.1f)", e.Value, e.Low, e.High)
}

// turns says what would have to be true for another promise.
func (s *promiseStudy) turns() {
	a := &s.answer
	say := func(format string, args ...any) { a.Flips = append(a.Flips, fmt.Sprintf(format, args...)) }
	if a.Runs == 0 || a.Promise < 0 {
		return
	}
	if !a.Due.IsZero() && a.InTime.Value < a.Service {
		short := float64(a.Promise - calendar.DateOf(a.Due))
		say("%s could be promised if the order took less time by %s: about %s fewer pieces at the rate by hand.",
			a.Due.Format(longDate), calendarSpan(short), plain(short*workingDays/7*a.ByHand.PerDay))
	}
	for _, l := range a.Levers {
		if l.Why == "" && !a.Due.IsZero() && a.InTime.Value < a.Service && l.InTime.Value >= a.Service {
			say("With %s, for %s %s, it could: %s by the pairs.", l.Name, plain(l.Cost), a.Currency, oddsOf(l.InTime))
		}
	}
	if len(a.Causes) > 0 && a.Spread >= leastSpread {
		c := a.Causes[0]
		say("If %s were known or gone, the standard deviation of the date would fall from %.1f to %.1f working days, and the promise would come about %.1f sooner.",
			c.Name, a.Spread, a.Spread*math.Sqrt(max(0, 1-min(1, c.Share.Value))),
			stats.NormalQuantile(a.Service)*a.Spread*(1-math.Sqrt(max(0, 1-min(1, c.Share.Value)))))
	}
	for _, l := range a.Levers {
		if l.Sure && s.q.Late > 0 && l.Cost > 0 {
			verb := "does not pay"
			if l.Saved > l.Cost {
				verb = "pays"
			}
			say("At %s %s a day of delay %s %s for itself: it takes away %s of expected lateness, and costs %s.", plain(s.q.Late), a.Currency, l.Name, verb, plain(l.Saved), plain(l.Cost))
			break
		}
	}
}

// calendarSpan says a number of whole days.
func calendarSpan(days float64) string {
	if days == 1 {
		return "a calendar day"
	}
	return fmt.Sprintf("%.0f calendar days", days)
}

// leastSpread is the standard deviation, in working days, below which its causes
// move no date.
const leastSpread = 0.1

// assume says what the date rests on.
func (s *promiseStudy) assume() {
	a := &s.answer
	say := func(format string, args ...any) { a.Assumptions = append(a.Assumptions, fmt.Sprintf(format, args...)) }
	w := s.works.file.Works
	if w.Opening.Empty() {
		say("The works is as full at the start as it usually is: %d weeks are simulated before it, which begin empty.", int(math.Round(a.Start.Sub(s.civil(0)).Hours()/168)))
	} else {
		say("The works holds at the start what is counted in opening-state; ages are drawn from what the calendar makes possible.")
	}
	if a.Stock && !w.Opening.Empty() {
		say("Pieces of the opening state count.")
	} else {
		say("Only ware cast from %s on counts.", a.Start.Format("Mon 2 January 2006 15:04"))
	}
	if w.Ware[s.ware].Make == "order" {
		say("Only what orders still lack is cast.")
	} else {
		say("%s is cast by its plan; what the order does not take goes to stock.", upper(a.Ware))
	}
	say("Priority %d of 3 in queues. Quantities, hours and people stay as the file has them; what is not in the file (strikes, a lost master, a customer who changes the order) is not in the date.", a.Priority)
	if s.works.unknown() {
		say("%d values rest on counts or records; each run has a works of its own, drawn from what these leave open.", len(s.works.file.Evidence()))
	} else {
		say("No value of the file says what it rests on: the date takes all yields and times as known, and is too narrow by what nobody knows. Write such as white: 92 %% from 460 of 500.")
	}
	if len(w.Kilns) > 0 && !stopsKnown(s) {
		say("The file has no stops, wrecks or breakdowns of kilns: long stops often make most of the width of a date. Give the kiln stops: {between: ..., repair: ...}.")
	}
}

// stopsKnown tells whether any kiln of the works ever stands still.
func stopsKnown(s *promiseStudy) bool {
	for _, k := range s.works.file.Works.Kilns {
		if k.Stops != nil || k.Wrecks != nil {
			return true
		}
	}
	return false
}

// warn says what to beware of.
func (s *promiseStudy) warn() {
	a := &s.answer
	say := func(format string, args ...any) { a.Warnings = append(a.Warnings, fmt.Sprintf(format, args...)) }
	if a.Refused > 0 {
		say("Of %d works drawn from the evidence %d could not run and were left out, so the date is too narrow.", a.Runs+a.Refused, a.Refused)
	}
	if a.Unfinished > 0 {
		say("In %d of %d runs the order was not done within the weeks simulated; they rank last.", a.Unfinished, a.Runs)
	}
	for _, d := range a.Dates {
		if d.LowRank == 0 {
			say("%d runs are too few for an interval of the %s date: %d are needed.", d.Runs, wholeShare(d.P), stats.QuantileSampleSize(d.P, 0.95))
		}
	}
	if d := a.Drift; d != nil && d.Outside {
		way := "behind"
		if float64(d.Good) > d.High {
			way = "ahead of"
		}
		say("The order is %s its first forecast by more than luck may do: %s good pieces against %s to %s. Something in the works is not as the file says.", way, plain(float64(d.Good)), plain(d.Low), plain(d.High))
	}
}
