package reorder

import (
	_ "embed"
	"encoding/json"
	"fmt"
	"testing"
)

//go:embed testdata/jobs.json
var jobCases []byte

// Cases computed outside the program, each by two ways that its source names: Python
// 3.11 with scipy 1.10.1 by convolution and by the inverse Fourier transform of the
// generating function, R 4.2.2.
func TestJobsAndPieces(t *testing.T) {
	var cases []struct {
		Name   string
		Inputs struct {
			Jobs        int64
			Years, Wait float64
			Sizes       []Size
			Free        []int64
		}
		Expected struct {
			Job            float64 `json:"job_chance"`
			Level          int64
			Wanted         int64 `json:"wanted_pieces"`
			Keep           int64
			Largest, Usual int64
			Risk           []float64
		}
	}
	if err := json.Unmarshal(jobCases, &cases); err != nil || len(cases) < 9 {
		t.Fatal(len(cases), err)
	}
	for _, c := range cases {
		in, want := c.Inputs, c.Expected
		d := Demand{Jobs: in.Jobs, Years: in.Years, Wait: in.Wait, Sizes: in.Sizes}
		near(t, c.Name+": a job", d.Job(), want.Job, 1e-8)
		for i, free := range in.Free {
			near(t, fmt.Sprint(c.Name, ": risk with ", free), d.Risk(free), want.Risk[i], 1e-8)
		}
		usual, largest := d.usual()
		if got := [...]int64{d.Level(0.95), d.Wanted(), d.Keep(0.95), largest, usual}; got != [...]int64{want.Level, want.Wanted, want.Keep, want.Largest, want.Usual} {
			t.Errorf("%s: level, wanted, keep, largest, usual %v, want %+v", c.Name, got, want)
		}
	}
}
