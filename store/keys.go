package store

import (
	"bytes"
	"encoding/binary"

	"tinful/store/code"
	"tinful/store/dim"
)

// Bucket names are part of the file format: see the table in doc.go.
const (
	bMeta    = "meta"
	bPart    = "part"
	bBag     = "bag"
	bModel   = "model"
	bGoes    = "goes"
	bDonor   = "donor"
	bSeen    = "seen"
	bPlace   = "place"
	bJob     = "job"
	bWant    = "want"
	bOld     = "old"
	bStep    = "step"
	bCount   = "count"
	bDraft   = "draft"
	bPaper   = "paper"
	bLabel   = "label"
	bMonth   = "month"
	bNote    = "note"
	bPicture = "picture"
	bShop    = "shop"
	bEntry   = "entry"
	bBooking = "booking"
	bFormer  = "former"
	bState   = "state"
	bFigure  = "figure"

	bShort         = "short"
	bCode          = "code"
	bName          = "name"
	bWord          = "word"
	bClass         = "class"
	bDim           = "dim"
	bGoesByModel   = "goes_by_model"
	bTwin          = "twin"
	bHeldIn        = "held_in"
	bCarried       = "carried"
	bFamily        = "family"
	bDonorByModel  = "donor_by_model"
	bDonorByLot    = "donor_by_lot"
	bSeenByPart    = "seen_by_part"
	bWantByPart    = "want_by_part"
	bWantByJob     = "want_by_job"
	bBagByPart     = "bag_by_part"
	bBagByOrigin   = "bag_by_origin"
	bBagByPlace    = "bag_by_place"
	bBagByGrade    = "bag_by_grade"
	bOut           = "out"
	bBagByJob      = "bag_by_job"
	bBookingByWho  = "booking_by_who"
	bBookingByUndo = "booking_by_undo"
	bReading       = "reading"
	bWorth         = "worth"
	bJobByTray     = "job_by_tray"
	bOldOpen       = "old_open"
	bOwner         = "owner"
)

// catalogue are the buckets of records that a booking may change and undo
// gives back; derived are those that follow from the records and the book.
var (
	catalogue = []string{bPart, bBag, bModel, bGoes, bDonor, bSeen, bPlace, bJob, bWant, bOld, bStep, bCount, bDraft, bPaper, bLabel, bNote, bShop, bMonth, bPicture}
	derived   = []string{bState, bFigure, bShort, bCode, bName, bWord, bClass, bDim, bGoesByModel, bTwin, bHeldIn, bCarried, bFamily,
		bDonorByModel, bDonorByLot, bSeenByPart, bWantByPart, bWantByJob, bBagByPart, bBagByOrigin, bBagByPlace, bBagByGrade, bOut,
		bBagByJob, bBookingByWho, bBookingByUndo, bReading, bWorth, bJobByTray, bOldOpen, bOwner}
	buckets = append(append([]string{bMeta, bEntry, bBooking, bFormer}, catalogue...), derived...)
)

// join returns the fields, each but the last ended by a zero byte. Codes and
// folded text never contain one.
func join[T ~string](fields ...T) []byte {
	n := len(fields)
	for _, f := range fields {
		n += len(f)
	}
	k := make([]byte, 0, n)
	for i, f := range fields {
		if i > 0 {
			k = append(k, 0)
		}
		k = append(k, f...)
	}
	return k
}

// prefix returns the start of every key whose first fields are these.
func prefix[T ~string](fields ...T) []byte { return append(join(fields...), 0) }

// fields splits what join made.
func fields(k []byte) []string {
	parts := bytes.Split(k, []byte{0})
	out := make([]string, len(parts))
	for i, p := range parts {
		out[i] = string(p)
	}
	return out
}

func keyCode(c code.Code) []byte { return []byte(c) }

func keyGoes(g Goes) []byte {
	return join(string(g.Part), string(g.Model), g.From, g.To)
}

// seenOnJob stands before the code of a job where else a donor's code stands: no
// code holds a colon.
const seenOnJob = "job:"

// seenOn is the camera of an observation as keys have it.
func seenOn(s Seen) code.Code {
	if s.Job != "" {
		return seenOnJob + s.Job
	}
	return s.Donor
}

func keySeen(s Seen) []byte { return join(seenOn(s), s.Part) }

func keyDay(d code.Day) []byte {
	return binary.BigEndian.AppendUint32(nil, uint32(d)^1<<31) // the sign bit turned, so that days sort
}

func keyWant(w Want) []byte {
	k := append(keyDay(w.Date), join(w.Part, w.Model, w.Job)...)
	return append(append(k, 0), byte(w.Nth>>8), byte(w.Nth))
}

func keyOld(o Old) []byte { return append(prefix(o.Job), keySeq(o.Nth)...) }

func keyStep(s Step) []byte { return append(prefix(s.Kind, string(s.Camera)), keySeq(s.Nth)...) }

func keyDraft(d Draft) []byte { return join(d.Kind, string(d.Camera)) }

func keyCount(c Count) []byte { return keySeq(c.Number) }

func keyLabel(l Label) []byte { return join(l.Kind, string(l.Code)) }

func keyNote(n Remark) []byte { return append(prefix(n.Kind, string(n.Code)), keySeq(n.Nth)...) }

func keyPicture(p Picture) []byte { return append(prefix(p.Kind, string(p.Code)), keySeq(p.Nth)...) }

func keySeq(n uint64) []byte { return binary.BigEndian.AppendUint64(nil, n) }

func keyFormer(booking uint64, bucket string, key []byte) []byte {
	return append(append(keySeq(booking), prefix(bucket)...), key...)
}

// splitFormer parts a key of former bytes. The booking is 0 where it is none.
func splitFormer(k []byte) (booking uint64, bucket string, key []byte) {
	if len(k) < 8 {
		return 0, "", nil
	}
	name, key, _ := bytes.Cut(k[8:], []byte{0})
	return binary.BigEndian.Uint64(k), string(name), key
}

// keyCodeIndex is the forgiving reading of a code: what is left of it without
// hyphens and leading zeros, then its kind, then the code.
func keyCodeIndex(kind string, c code.Code) []byte {
	return join(code.Loose(string(c)), kind, string(c))
}

func keyName(kind, folded string, c code.Code) []byte { return join(kind, folded, string(c)) }

func keyWord(word string, part code.Code) []byte { return join(word, string(part)) }

func keyClass(class string, part code.Code) []byte { return join(class, string(part)) }

// The thread's diameter and pitch have fields of their own in the dimension
// index, above those of the dimension table; both are in nanometres.
const (
	fieldMajor dim.Field = 200
	fieldPitch dim.Field = 201
)

func keyDim(f dim.Field, n int64, part code.Code) []byte {
	return append(prefixDim(f, n), part...)
}

func prefixDim(f dim.Field, n int64) []byte {
	return binary.BigEndian.AppendUint64([]byte{byte(f)}, uint64(n)^1<<63)
}

func keyGoesByModel(g Goes) []byte {
	return join(string(g.Model), string(g.Part), g.From, g.To)
}

func keySeenByPart(s Seen) []byte { return join(s.Part, seenOn(s)) }

func keyWantByPart(w Want) []byte { return append(prefix(w.Part), keyWant(w)...) }

func keyWantByJob(w Want) []byte { return append(prefix(w.Job), keyWant(w)...) }

func keyBagByJob(e Entry) []byte { return join(e.Job, e.Bag) }

func keyBookingByWho(b Booking) []byte { return append(prefix(b.By), keySeq(b.Number)...) }

// keyReading stands by count, day and number, as the readings of a count do.
func keyReading(e Entry) []byte {
	return append(append(prefixCount(e.Count), keyDay(e.Day)...), keySeq(e.Seq)...)
}

// prefixCount is the number of a count in as few bytes as it takes, their number
// before them: most readings came with a workbook and have none.
func prefixCount(n uint64) []byte {
	b := bytes.TrimLeft(keySeq(n), "\x00")
	return append([]byte{byte(len(b))}, b...)
}

// splitReading parts a key of the index of readings.
func splitReading(k []byte) (count uint64, day code.Day, seq uint64) {
	n := 1 + int(k[0])
	for _, b := range k[1:n] {
		count = count<<8 | uint64(b)
	}
	return count, code.Day(binary.BigEndian.Uint32(k[n:]) ^ 1<<31), binary.BigEndian.Uint64(k[n+4:])
}

// lastSeq reads the number at the end of an index key, 0 where it is too short for one.
func lastSeq(k []byte) uint64 {
	if len(k) < 8 {
		return 0
	}
	return binary.BigEndian.Uint64(k[len(k)-8:])
}
