package des_test

import (
	"math"
	"testing"

	"potbank/internal/des"
)

func TestTimeString(t *testing.T) {
	tests := []struct {
		time des.Time
		want string
	}{
		{0, "0d 00:00:00"},
		{1, "0d 00:00:00.001"},
		{3*des.Day + 4*des.Hour + 5*des.Minute + 6*des.Second + 789, "3d 04:05:06.789"},
		{des.Week, "7d 00:00:00"},
		{des.Day - 1, "0d 23:59:59.999"},
		{-90 * des.Second, "-0d 00:01:30"},
		{des.Never, "never"},
		{des.Never - 1, "106751991167d 07:12:55.806"},
		{math.MinInt64, "-106751991167d 07:12:55.808"},
	}
	for _, tt := range tests {
		if got := tt.time.String(); got != tt.want {
			t.Errorf("Time(%d).String() = %q, want %q", int64(tt.time), got, tt.want)
		}
	}
}

func TestSpans(t *testing.T) {
	if got := des.Week; got != 7*24*3600*1000 {
		t.Errorf("Week = %d ms, want 604800000", int64(got))
	}
}
