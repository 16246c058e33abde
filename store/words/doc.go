// Package words folds, compares and ranks the words of names, and knows the
// trade words of parts and the classes they stand for.
//
// Both sides of a comparison are folded alike: what is typed and what is
// stored. A folded text is lower case, without accents, with ä, ae and a alike
// (also ö and ü), with hyphens and slashes as gaps between words. Tokens are the
// words of a folded text; "1.7" and "m1.7x0.35" are one token each.
//
// A trade word stands for its class and is not split: "shoulder screw" and
// "Ansatzschraube" are both SCR-SHD. One that names less than its class, a knurled
// screw, does not stand for all of it. The surprising rule: a token with a digit is
// never matched loosely, because one letter turns one thread into another.
//
// The vocabulary is common practice and has no source; its German, Japanese, French,
// Spanish, Italian and Dutch words are from memory. The classes are the program's
// own, and people are shown English.
package words
