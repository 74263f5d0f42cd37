package plant

import (
	"errors"
	"fmt"

	"potbank/internal/calendar"
	"potbank/internal/des"
	"potbank/internal/quantity"
)

// checker collects the faults of a works.
type checker struct {
	p      *Plant
	w      *Works
	faults []Fault
}

func (c *checker) fault(path, hint, format string, args ...any) {
	c.faults = append(c.faults, Fault{Path: path, What: fmt.Sprintf(format, args...), Hint: hint})
}

func (c *checker) warn(path, hint, format string, args ...any) {
	c.faults = append(c.faults, Fault{Path: path, What: fmt.Sprintf(format, args...), Hint: hint, Warning: true})
}

func (c *checker) fatal() bool {
	for _, f := range c.faults {
		if !f.Warning {
			return true
		}
	}
	return false
}

// calendar lays out the working hours.
func (c *checker) calendar() {
	start, err := calendar.ParseStart(c.w.Start, c.w.Zone)
	if err != nil {
		path := "start"
		if _, zone := calendar.LoadZone(c.w.Zone); zone != nil {
			path, err = "time-zone", zone
		}
		c.faultOf(path, err)
		return
	}
	c.p.clock = calendar.NewClock(start)
	run := &c.w.Run
	if run.Length <= 0 || run.Length%des.Week != 0 {
		c.fault("run.length", "write whole weeks such as 52 wk", "the run must last whole weeks, got %v", run.Length)
	}
	if run.Length > 50*366*des.Day {
		c.fault("run.length", "shorten the run", "run length is above the limit of 50 yr")
	}
	if c.fatal() {
		return
	}
	for k := range c.w.Hours {
		c.layHours(&c.w.Hours[k])
	}
}

// beyond is how far calendars are laid out after the end of a run: further than
// any shutdown lasts, so that whoever waits at the end waits for an opening and
// does not look stuck.
const beyond = 8 * des.Week

// layHours makes the open intervals of one set of hours, beyond the end of the
// run, so that nothing ends with it.
func (c *checker) layHours(h *Hours) {
	path := "hours." + h.Name
	var plan calendar.Plan
	for _, text := range h.Weeks {
		pattern, err := calendar.ParsePattern(text)
		if err != nil {
			c.faultOf(path, err)
		}
		plan.Weeks = append(plan.Weeks, pattern)
	}
	if h.From != "" {
		if d, err := calendar.ParseDates(h.From); err != nil {
			c.faultOf(path+".from", err)
		} else {
			plan.From = d.First
		}
	}
	plan.Closed = c.dates(path+".closed", h.Closed)
	for _, text := range h.Open {
		extra, err := calendar.ParseExtra(text)
		if err != nil {
			c.faultOf(path+".open", err)
		}
		plan.Extra = append(plan.Extra, extra)
	}
	if !h.KeepGoing {
		plan.Closed = append(plan.Closed, c.dates("closures.dates", c.w.Closures.Dates)...)
		plan.Holidays = c.w.Closures.Loaded
		for _, text := range c.w.Closures.Rules {
			rule, err := calendar.ParseRule(text)
			if err != nil {
				c.faultOf("closures.rules", err)
			}
			plan.Rules = append(plan.Rules, rule)
		}
	}
	if c.fatal() {
		return
	}
	hours, err := plan.Hours(c.p.clock, c.w.Run.Length+beyond)
	if err != nil {
		c.faultOf(path, err)
		return
	}
	c.p.hours[h.Name] = hours
}

func (c *checker) dates(path string, texts []string) []calendar.Dates {
	var all []calendar.Dates
	for _, text := range texts {
		d, err := calendar.ParseDates(text)
		if err != nil {
			c.faultOf(path, err)
		}
		all = append(all, d)
	}
	return all
}

// faultOf turns an error of another package into a fault.
func (c *checker) faultOf(path string, err error) {
	var q *quantity.Fault
	if errors.As(err, &q) {
		c.faults = append(c.faults, Fault{Path: path, What: q.What, Hint: q.Hint, Offset: q.Offset})
		return
	}
	c.fault(path, "", "%s", err.Error())
}

// names numbers the wares and reads the dates of orders and change-overs.
func (c *checker) names() {
	if len(c.w.Ware) == 0 {
		c.fault("ware", "describe at least one ware", "the works makes nothing")
	}
	for i := range c.w.Ware {
		c.p.wares[c.w.Ware[i].Name] = int32(i)
	}
	c.orderBook()
	for k := range c.w.Benches {
		b := &c.w.Benches[k]
		for i := range b.Change {
			at, err := c.p.civil(b.Change[i].Name)
			if err != nil {
				c.faultOf("benches."+b.Name+".change-over", err)
			}
			c.p.changes[b] = append(c.p.changes[b], at)
		}
	}
}
