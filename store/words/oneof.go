package words

import (
	"fmt"
	"strings"
)

// OneOf returns the word of a list that a text is, whatever its case. What names the
// list in the error, which says what is allowed: grade "fine" is none of ready, new.
func OneOf(what string, list []string, text string) (string, error) {
	for _, w := range list {
		if strings.EqualFold(w, strings.TrimSpace(text)) {
			return w, nil
		}
	}
	return "", NotOneOf(what, list, text)
}

// NotOneOf is the error of [OneOf], with the word that was likely meant.
func NotOneOf(what string, list []string, text string) error {
	meant := Nearest(text, list)
	if meant != "" {
		meant = ": did you mean " + meant + "?"
	}
	return fmt.Errorf("%s %q is none of %s%s", what, text, strings.Join(list, ", "), meant)
}
