package sheet

// letter is a paper for the owner of a camera as a workbook.
var letter = form{sheet: "Paper", heads: []string{"About", "Text", "Sum"}, wide: map[string]float64{"About": 24, "Text": 70, "Sum": 12}, numbers: []string{"Sum"}}

// WriteLetter writes rows of about, text and sum. A file that is there is written over only
// with replace.
func WriteLetter(file string, rows [][]string, replace bool) error {
	return letter.write(file, rows, replace)
}
