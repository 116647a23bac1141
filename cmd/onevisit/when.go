package main

import (
	"strconv"
	"strings"
	"time"

	"google.golang.org/genproto/googleapis/type/latlng"
	"google.golang.org/protobuf/types/known/timestamppb"

	dispatchv1 "onevisit/proto/onevisit/dispatch/v1"
)

// window reads a stretch of time: two RFC 3339 times with a slash between
// them, or clock times such as "09:00-12:00" with, before or after them, today,
// tomorrow or a date such as 2027-05-11. A clock time without a day is today's.
func window(text string, now time.Time) (*dispatchv1.TimeWindow, error) {
	if text == "" {
		return nil, nil
	}
	start, end, err := instants(text, now)
	if err != nil {
		return nil, err
	}
	if !end.After(start) {
		return nil, usage("--window: %q ends before it begins", text)
	}
	return &dispatchv1.TimeWindow{StartTime: timestamppb.New(start), EndTime: timestamppb.New(end)}, nil
}

func instants(text string, now time.Time) (start, end time.Time, err error) {
	if from, to, ok := strings.Cut(text, "/"); ok {
		start, err = time.Parse(time.RFC3339, strings.TrimSpace(from))
		if err == nil {
			end, err = time.Parse(time.RFC3339, strings.TrimSpace(to))
		}
		if err != nil {
			return start, end, usage("--window: %q is not START/END in RFC 3339 form, such as 2027-05-11T09:00:00+02:00/2027-05-11T12:00:00+02:00", text)
		}
		return start, end, nil
	}
	day, clocks := now, ""
	for _, word := range strings.Fields(text) {
		switch date, err := time.ParseInLocation(time.DateOnly, word, now.Location()); {
		case err == nil:
			day = date
		case word == "today":
		case word == "tomorrow":
			day = now.AddDate(0, 0, 1)
		case clocks == "":
			clocks = word
		default:
			return start, end, usage("--window: %q is more than a day and two clock times", text)
		}
	}
	return hours(clocks, day)
}

// hours reads "09:00-12:00" as of one day.
func hours(text string, day time.Time) (start, end time.Time, err error) {
	from, to, ok := strings.Cut(text, "-")
	if ok {
		if start, ok = clockOn(from, day); ok {
			end, ok = clockOn(to, day)
		}
	}
	if !ok {
		return start, end, usage("%q is not two clock times, such as 09:00-12:00", text)
	}
	return start, end, nil
}

func clockOn(text string, day time.Time) (time.Time, bool) {
	t, err := time.Parse("15:04", text)
	return time.Date(day.Year(), day.Month(), day.Day(), t.Hour(), t.Minute(), 0, 0, day.Location()), err == nil
}

// place reads "LAT,LNG" in degrees.
func place(text string) (*latlng.LatLng, error) {
	a, b, ok := strings.Cut(text, ",")
	lat, errLat := strconv.ParseFloat(strings.TrimSpace(a), 64)
	lng, errLng := strconv.ParseFloat(strings.TrimSpace(b), 64)
	if !ok || errLat != nil || errLng != nil {
		return nil, usage("%q is not LAT,LNG in degrees, such as 0.012,0.034", text)
	}
	return &latlng.LatLng{Latitude: lat, Longitude: lng}, nil
}
