package calendar_test

import (
	"fmt"
	"strings"
	"testing"

	"potbank/internal/calendar"
)

// Each limit of a calendar file holds where it is stated: just below and at it the
// file is read, one above it is refused.
func TestLimitsOfHolidays(t *testing.T) {
	file := func(events string) string { return "BEGIN:VCALENDAR\r\n" + events + "END:VCALENDAR\r\n" }
	event := func(lines string) string { return "BEGIN:VEVENT\r\nSUMMARY:Fair\r\n" + lines + "END:VEVENT\r\n" }
	day := func(n int) string {
		return strings.ReplaceAll(calendar.NewDate(2027, 1, 1+n).String(), "-", "")
	}
	tests := []struct {
		limit string
		most  int
		text  func(n int) string
	}{
		{"larger than 1 MiB", 1 << 20, func(n int) string {
			text := file(event("DTSTART;VALUE=DATE:20270101\r\n") + strings.Repeat("X-LONG:"+strings.Repeat("x", 91)+"\r\n", n/100-2))
			for len(text) < n-60 {
				text = strings.Replace(text, "X-LONG:", "X-LONG:"+strings.Repeat("y", 50), 1)
			}
			return strings.Replace(text, "X-LONG:", "X-LONG:"+strings.Repeat("y", n-len(text)), 1)
		}},
		{"more than 100 recurring events", 100, func(n int) string {
			return file(strings.Repeat(event("DTSTART;VALUE=DATE:20270101\r\nRRULE:FREQ=YEARLY\r\n"), n))
		}},
		{"the limit is 366", 366, func(n int) string {
			return file(event(fmt.Sprintf("DTSTART;VALUE=DATE:20270101\r\nDTEND;VALUE=DATE:%s\r\n", day(n))))
		}},
	}
	for _, test := range tests {
		for _, n := range []int{test.most - 1, test.most, test.most + 1} {
			_, err := calendar.ReadHolidays(strings.NewReader(test.text(n)), calendar.NewDate(2027, 1, 1), calendar.NewDate(2028, 12, 31))
			if refused := err != nil && strings.Contains(err.Error(), test.limit); refused != (n > test.most) || err != nil && !refused {
				t.Errorf("%s: %d (%d bytes) gives %v", test.limit, n, len(test.text(n)), err)
			}
		}
	}
}
