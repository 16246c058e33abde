package ways

import (
	"testing"

	"github.com/google/go-cmp/cmp"
)

func TestRank(t *testing.T) {
	direct, rework := []string{"direct"}, []string{"rework"}
	tests := []struct {
		name   string
		in     []Candidate
		want   []string
		source string
	}{
		{"grades of one degree", []Candidate{
			{Kind: Bag, Degrees: direct, Grade: "unknown", Code: "B1"}, {Kind: Bag, Degrees: direct, Grade: "rework", Code: "B2"},
			{Kind: Bag, Degrees: direct, Grade: "usable", Code: "B3"}, {Kind: Bag, Degrees: direct, Grade: "made", Code: "B4"},
			{Kind: Bag, Degrees: direct, Grade: "new", Code: "B5"}, {Kind: Bag, Degrees: direct, Grade: "ready", Code: "B6"},
		}, []string{"B6", "B5", "B4", "B3", "B2", "B1"}, "common practice, no source: grades"},
		{"degrees before grades", []Candidate{
			{Kind: Bag, Degrees: []string{"unproven"}, Grade: "ready", Code: "B1"}, {Kind: Bag, Degrees: []string{"unit"}, Grade: "ready", Code: "B2"},
			{Kind: Bag, Degrees: []string{"matched"}, Grade: "ready", Code: "B3"}, {Kind: Bag, Degrees: rework, Grade: "ready", Code: "B4"},
			{Kind: Bag, Degrees: []string{"looks-wrong"}, Grade: "ready", Code: "B5"}, {Kind: Bag, Degrees: direct, Grade: "unknown", Code: "B6"},
		}, []string{"B6", "B5", "B4", "B3", "B2", "B1"}, "the rule: need ranks"},
		{"two degrees: the worse counts", []Candidate{
			{Kind: Bag, Degrees: []string{"looks-wrong", "rework"}, Code: "B1"}, {Kind: Bag, Degrees: []string{"looks-wrong"}, Code: "B2"},
		}, []string{"B2", "B1"}, "the rule: degrees"},
		{"kinds, and a pattern last", []Candidate{
			{Kind: Bag, Degrees: direct, Grade: "pattern", Code: "B1"}, {Kind: Make, Code: "make"}, {Kind: Sheet, Degrees: rework, Code: "B7"}, {Kind: Unit, Degrees: direct, Code: "B2"},
			{Kind: Donor, Degrees: direct, Seen: Present, Code: "PC-01"}, {Kind: Near, Code: "B3"}, {Kind: Sibling, Degrees: direct, Code: "B4"},
			{Kind: Bag, Degrees: []string{"unproven"}, Code: "B5"}, {Kind: Bag, Degrees: direct, Grade: "scrap", Code: "B6"},
		}, []string{"B5", "B4", "B3", "PC-01", "B2", "B7", "make", "B1"}, "the rule: need ranks; never scrap"},
		{"donors: seen, then meddled", []Candidate{
			{Kind: Donor, Degrees: direct, Seen: Hurt, Code: "PC-01"}, {Kind: Donor, Degrees: direct, Seen: NotLooked, Code: "PC-02"},
			{Kind: Donor, Degrees: direct, Seen: Present, Meddled: true, Code: "PC-03"}, {Kind: Donor, Degrees: direct, Seen: Present, Code: "PC-04"},
		}, []string{"PC-04", "PC-03", "PC-02", "PC-01"}, "common practice, no source: finding 7"},
		{"donors: what opening costs, the hurt last", []Candidate{
			{Kind: Donor, Degrees: direct, Seen: Hurt, Opening: 1, Code: "PC-01"}, {Kind: Donor, Degrees: direct, Seen: Present, Opening: 30, Code: "PC-02"},
			{Kind: Donor, Degrees: direct, Seen: NotLooked, Opening: 20, Code: "PC-03"},
		}, []string{"PC-03", "PC-02", "PC-01"}, "the bench: which to open first, and what is lost by it"},
		{"never what must not go in", []Candidate{
			{Kind: Bag, Degrees: []string{"no"}, Code: "B1"}, {Kind: Bag, Degrees: []string{"opposite-hand"}, Code: "B2"},
		}, nil, "the rule: degrees"},
		{"if comes after what is sure", []Candidate{
			{Kind: Bag, Degrees: direct, If: true, Grade: "ready", Code: "B1"}, {Kind: Bag, Degrees: direct, Grade: "unknown", Code: "B2"},
		}, []string{"B2", "B1"}, "the rule: look first"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			var got []string
			for _, i := range Rank(tt.in) {
				got = append(got, tt.in[i].Code)
			}
			if d := cmp.Diff(tt.want, got); d != "" {
				t.Errorf("%s: (-want +got)\n%s", tt.source, d)
			}
		})
	}
}
