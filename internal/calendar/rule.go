package calendar

import (
	"slices"
	"strings"
	"time"

	"github.com/teambition/rrule-go"

	"potbank/internal/quantity"
)

// A Rule is a recurrence of whole days by RFC 5545, section 3.3.10. The zero
// Rule falls on no date.
type Rule struct {
	text   string
	option rrule.ROption
	from   Date
	dated  bool // whether from was written
}

// mostOccurrences bounds the dates of one rule. Daily for 250 years is fewer.
const mostOccurrences = 100_000

// ParseRule reads the value of an RRULE, with the date from which it counts in
// front if that is not the start of the simulation:
//
//	FREQ=MONTHLY;BYDAY=1FR
//	2027-01-08 FREQ=WEEKLY;INTERVAL=2
//
// As an extension BYEASTER=n stands for n days after Easter Sunday. Rules that
// repeat within a day are refused.
func ParseRule(s string) (Rule, error) {
	ws := words(s, 0)
	rule := Rule{text: strings.TrimSpace(s)}
	if len(ws) == 2 {
		day, err := parseDay(ws[0].text, ws[0].at)
		if err != nil {
			return Rule{}, err
		}
		rule.from, rule.dated = day.First, true
		ws = ws[1:]
	}
	if len(ws) != 1 {
		return Rule{}, faultAt(0, "write a rule such as FREQ=MONTHLY;BYDAY=1FR", "a rule is one word, after a date if there is one")
	}
	if err := checkParts(ws[0]); err != nil {
		return Rule{}, err
	}
	option, err := readOption(ws[0].text)
	if err != nil {
		return Rule{}, faultAt(ws[0].at, "write a rule such as FREQ=MONTHLY;BYDAY=1FR", "%v", err)
	}
	rule.option = *option
	return rule, nil
}

// readOption reads a rule that falls on whole days. It is the one place where
// the library's parser and its checks are called.
func readOption(text string) (*rrule.ROption, error) {
	option, err := rrule.StrToROption(text)
	if err != nil {
		return nil, err
	}
	if option.Freq > rrule.DAILY || len(option.Byhour)+len(option.Byminute)+len(option.Bysecond) > 0 {
		return nil, faultAt(0, "use DAILY, WEEKLY, MONTHLY or YEARLY, without an hour", "the rule repeats within a day, but holds for whole days")
	}
	if option.Count < 0 || option.Interval < 0 {
		return nil, faultAt(0, "", "COUNT and INTERVAL cannot be negative")
	}
	_, err = rrule.NewRRule(*option)
	return option, err
}

// checkParts looks for the first part of a rule that is wrong by itself, so
// that the fault can point at it.
func checkParts(w word) error {
	at := w.at
	hasFrequency := strings.HasPrefix(w.text, "FREQ=") || strings.Contains(w.text, ";FREQ=")
	for part := range strings.SplitSeq(w.text, ";") {
		key, value, _ := strings.Cut(part, "=")
		whole := part
		if key != "FREQ" {
			whole = "FREQ=DAILY;" + part
		}
		hint := "write a rule such as FREQ=MONTHLY;BYDAY=1FR"
		switch {
		case key == "FREQ" && slices.Contains([]string{"HOURLY", "MINUTELY", "SECONDLY"}, value):
			return faultAt(at, "use DAILY, WEEKLY, MONTHLY or YEARLY", "%s repeats within a day, but the works closes for whole days", part)
		case slices.Contains([]string{"BYHOUR", "BYMINUTE", "BYSECOND"}, key):
			return faultAt(at, "take it out", "%s has no meaning for whole days", key)
		case key == "DTSTART":
			return faultAt(at, "write the date in front: 2027-01-08 FREQ=WEEKLY", "DTSTART is not part of a rule")
		}
		if _, err := readOption(whole); err != nil {
			what := err.Error()
			return faultAt(at, hint, "%s: %s", part, what)
		}
		at += characters(part) + 1
	}
	if !hasFrequency {
		return faultAt(w.at, "begin with FREQ=WEEKLY or another frequency", "the rule has no FREQ")
	}
	return nil
}

// String prints the rule as it was written.
func (r Rule) String() string { return r.text }

// dates returns the dates from first to last on which the rule falls. A rule
// without a date of its own counts from start.
func (r Rule) dates(start, first, last Date) ([]Date, error) {
	if r.text == "" {
		return nil, nil
	}
	if r.dated {
		start = r.from
	}
	found, err := recur(r.option, start.utc(), first, last)
	if err != nil {
		return nil, &quantity.Fault{What: r.text + ": " + err.Error(), Hint: "write a rule that repeats less often"}
	}
	return found, nil
}

// recur lists the dates from first to last of a rule that counts from start, a
// midnight in UTC: where each day has 24 hours, no clock change shifts a date.
func recur(option rrule.ROption, start time.Time, first, last Date) ([]Date, error) {
	option.Dtstart = start
	// An end lets the library stop; without one it runs on to the year 9999.
	end := (last + 1).utc().Add(-time.Second)
	if option.Until.IsZero() || option.Until.After(end) {
		option.Until = end
	}
	rule, err := rrule.NewRRule(option)
	if err != nil {
		return nil, err
	}
	var found []Date
	next := rule.Iterator()
	for range mostOccurrences {
		t, ok := next()
		if !ok || DateOf(t) > last {
			return found, nil
		}
		if d := DateOf(t); d >= first {
			found = append(found, d)
		}
	}
	return nil, faultAt(0, "", "the rule has more than %d dates", mostOccurrences)
}
