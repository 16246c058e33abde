// Package notes reads the notes of a strip-down: text in, steps and mistakes
// out.
//
// A line begins with a word that says what it is. "step 4 wind: ..." opens a
// step, every line after it goes on with it, and what a step tells is cut into
// clauses by commas: "off 2 p41, under p62 0.30, turns 1.5". A clause begins
// with its word too. What stands between double quotes is one word, commas and
// all; from # to the end of a line is a remark.
//
// Codes, seats and grades stay text here: only the store knows which there are.
//
// The surprising rule: hole, hand, grade and to speak of the last piece that
// came off before them, all other clauses of the whole step.
package notes
