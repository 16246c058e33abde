package code

import "testing"

// Days to come, from Monday 2031-09-01; the weekdays by the calendar of that year.
func TestParseDayAhead(t *testing.T) {
	today, err := ISODay("2031-09-01")
	if err != nil || today.Weekday() != 1 {
		t.Fatal(err)
	}
	for text, want := range map[string]string{"2031-09-30": "2031-09-30", "today": "2031-09-01", "fri": "2031-09-05", "+14d": "2031-09-15", "+3": "2031-09-04",
		"2031-08-31": "", "-3d": "", "yesterday": "", "+c5": "", "soon": ""} {
		day, err := ParseDayAhead(text, today)
		if got := day.String(); (err == nil) != (want != "") || err == nil && got != want {
			t.Errorf("%s: %s %v, want %q", text, got, err, want)
		}
	}
}
