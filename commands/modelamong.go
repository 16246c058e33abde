package commands

import (
	"slices"
	"strings"

	"tinful/store"
	"tinful/store/code"
)

// modelAmong takes out of some words the one that is the code of a model and of nothing
// else: W1-B of "spring w1b".
func modelAmong(v *store.View, typed []string) (rest []string, model code.Code) {
	all := strings.Fields(strings.Join(typed, " "))
	for i, w := range all {
		if refs := v.Resolve(w); len(refs) == 1 && refs[0].Kind == "model" {
			return slices.Delete(slices.Clone(all), i, i+1), refs[0].Code
		}
	}
	return typed, ""
}
