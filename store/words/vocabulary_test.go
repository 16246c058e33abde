package words

import "testing"

// The keys of vocabulary.csv were folded beforehand.
func TestVocabularyKeys(t *testing.T) {
	for _, row := range rows(vocabularyCSV) {
		if len(row) != 5 || row[4] != key(row[0]) {
			t.Errorf("%q: the last column should be %q", row, key(row[0]))
		}
	}
}
