package ask

import (
	"slices"
	"strings"
	"unicode/utf8"

	"tinful/store/words"
)

// A Sign of an earlier visit, and what it points to.
type Sign struct {
	Sign     string `json:"sign"`
	PointsTo string `json:"points_to"`         // in words
	History  string `json:"history,omitempty"` // meddled or serviced, where it decides between them
	Strength string `json:"strength"`          // weak, medium, strong or certain
}

// Signs are the signs of an earlier visit. Source: pages of repairers for those
// they show, common practice without a source for the others; how strong each is
// comes from memory.
func Signs() []Sign {
	return []Sign{
		{"slots scratched or chewed", "opened with wrong tools", "meddled", "strong"},
		{"pin-spanner skids across a ring", "an amateur, or a hurried repairer", "meddled", "strong"},
		{"screws unusually loose", "put together in haste, or oil in the threads", "", "medium"},
		{"screws unusually tight or threads pulled", "over-tightened by a beginner", "meddled", "medium"},
		{"screws of mixed heads, finishes or drives", "replaced from a tin", "", "strong"},
		{"screw head glued over a broken stub", "a bodge meant to hide", "meddled", "certain"},
		{"service date or label inside", "a trade service: the label gives year and place", "serviced", "certain"},
		{"part of a later type inside", "exchanged", "", "certain"},
		{"lacquer dots broken or repainted", "opened", "", "strong"},
		{"covering lifted", "opened below the covering", "", "strong"},
		{"fingerprints, fibres or fresh grease inside", "opened", "", "medium"},
		{"scribed marks", "a careful earlier hand", "serviced", "strong"},
		{"loose screws or washers inside", "opened, or vibration", "", "medium"},
		{"traces of an attempt at a stuck focusing thread", "a failed repair", "meddled", "strong"},
		{"gear train out by a tooth", "put together wrongly", "meddled", "strong"},
		{"slots not lined up", "opened", "", "weak"},
	}
}

// SignOf is the sign that some words stand for: the one that has most of them,
// each at least by its first four letters. It reports false where none has.
func SignOf(text string) (Sign, bool) {
	best, most := Sign{}, 0
	for _, s := range Signs() {
		have, n := words.Tokens(s.Sign), 0
		for _, w := range words.Tokens(text) {
			if slices.ContainsFunc(have, func(h string) bool { return sameStart(w, h) }) {
				n++
			}
		}
		if n > most {
			best, most = s, n
		}
	}
	return best, most > 0
}

// sameStart tells whether two words begin alike: chewed and chew.
func sameStart(a, b string) bool {
	if utf8.RuneCountInString(a) > utf8.RuneCountInString(b) {
		a, b = b, a
	}
	return utf8.RuneCountInString(a) >= 4 && strings.HasPrefix(b, a)
}

// Pointed is the history that signs point to: the one that a strong or certain
// sign names, meddled before serviced, for a serviced camera may have been opened
// by an amateur since. It is empty where none decides.
func Pointed(signs []string) string {
	out := ""
	for _, text := range signs {
		s, ok := SignOf(text)
		if !ok || s.History == "" || s.Strength != "strong" && s.Strength != "certain" {
			continue
		}
		if out == "" || s.History == "meddled" {
			out = s.History
		}
	}
	return out
}
