// Package store keeps one workshop's parts in one file: what is known of them,
// where they lie, and the book of everything that came, went and moved.
//
// A [Part] is a design, a [Bag] the pieces of one part that came from one
// origin, a [Donor] a parts camera, a [Job] a customer's camera, [Goes] a
// statement that a part goes into a model, or does not. An [Entry] is a line of
// the book. A [Booking] is what one command changed, its entries together: it
// is made by [Store.Book] and taken back whole by [Store.Undo]. A [View] asks,
// a [Tx] books.
//
// The book is the truth. No quantity, place or grade of a bag is ever set: each
// follows from the bag's entries, which are appended and never edited, and a
// balance that stands in the file is only a copy that [Store.Check] makes anew.
// What was booked wrongly is countered, not changed. Two pure functions decide
// alone what follows from what: fold for balances, rows for the keys of an
// index. The store never asks the time: an entry carries the day it is given.
//
// # Records
//
// A record is one format byte, a CBOR map with small integer keys (RFC 8949,
// core deterministic encoding), and a CRC-32C of both, big-endian, that is
// checked before anything is decoded. A record leaves out what its key tells.
// The word "record" below stands for these bytes of the type that is named.
//
// # Keys
//
// The table is a file format: one function a row in keys.go, one test a row in
// keys_test.go. A changed row raises schemaVersion and adds a step to migrate.go.
//
// Numbers are 8 bytes big-endian, so that keys sort as numbers do. Days are 4
// bytes, measures 8, big-endian with the sign bit turned. A text followed by
// another field ends in a zero byte (00), so that a scan for P1 does not return
// P10; codes and folded text never contain one. yes is the byte 01: bbolt reads a
// key put with nil back as nil within the transaction that wrote it.
//
//	bucket           key                             value
//
//	meta             "schema"                        version of this table, number
//	                 "booking"                       last booking, number
//	                 "entry"                         last entry, number
//	                 "day"                           latest day of an entry, number: its low 4 bytes are the day; what was taken
//	                                                 back on an earlier day than its own counts there
//	                 "parts"                         parts that words are ranked in, number
//	                 "words"                         words of all those parts, number
//	                 "series/" kind                  highest number of a code that was made up, number
//	                 "set/" name                     a setting (currency, demo), text
//
//	part             code                            record Part
//	bag              code                            record Bag, as booked in
//	model            code                            record Model
//	goes             part 00 model 00 from 00 to     record Goes
//	donor            code                            record Donor
//	seen             camera 00 part                  record Seen; camera is a donor's code, or "job:" and a job's
//	place            code                            record Place
//	job              code                            record Job
//	want             day part 00 model 00 job 00 nth record Want; nth is 2 bytes
//
//	old              job 00 number                   record Old; the first piece of a job is 1
//	step             kind 00 camera 00 number        record Step; kind is donor or job, the first step is 1
//	count            number                          record Count
//	draft            kind 00 camera                  record Draft: no booking writes it, the one that books its lines takes it away;
//	                                                 a store of this version may lack the bucket
//	paper            name                            record Paper
//	label            kind 00 code                    record Label: the last label of a bag, part, donor, job or place
//	note             kind 00 code 00 number          record Remark; the first of a thing is 1
//	shop             "shop"                          record Shop
//
//	entry            number of the first             entries in a row, 1264 bytes at most unless one is longer: format byte,
//	                                                 for each its length (uvarint) and CBOR, then CRC-32C of all that
//	booking          number                          record Booking
//	former           booking bucket 00 key           bytes of a catalogue record before the booking: 01 record, or 00
//	                                                 where there was none; nothing for the booking that made the store
//
//	state            bag                             record State: the balance that follows from the bag's entries
//	figure           part                            record Figure: the sum of the part's own bags, none where it is zero
//	short            part                            free, keep, held (varints), name: parts with less free than to keep
//	code             loose 00 kind 00 code           yes: codes that are not their own forgiving reading
//	name             kind 00 folded name 00 code     yes: kind is part or model, a model's aliases too
//	word             word 00 part                    2 bytes: times the word stands in the part, words of the part (255 at most)
//	class            class 00 part                   yes
//	dim              field (1 byte) measure part     class length (1 byte), class, then each indexed measure of the part:
//	                                                 field (1 byte), varint. Fields as in package dim; 200 and 201 are the
//	                                                 thread's diameter and pitch, in nanometres
//	goes_by_model    model 00 part 00 from 00 to     degrees, parted by semicolons, 00
//	twin             twin 00 part                    yes
//	held_in          part 00 unit                    yes: units that contain the part
//	carried          model 00 camera                 yes: cameras that may carry the shutter or lens
//	family           folded family 00 model          yes
//	donor_by_model   model 00 donor                  yes
//	donor_by_lot     lot 00 donor                    yes
//	seen_by_part     part 00 camera                  what was seen, 00; camera as above
//	want_by_part     part 00 key of the want         yes while it is open, 00 when it is met
//	want_by_job      job 00 key of the want          yes while it is open, 00 when it is met
//	bag_by_part      part 00 bag                     flags (1 byte: 1 about, 2 mm, 4 has a note, 8 not own), on hand, held, lent,
//	                                                 day last counted, pieces used (varints), grade (1 byte, as in line.go), then
//	                                                 place, origin and, with flag 8, owner, each ended by 00; part is empty for
//	                                                 what is unsorted
//	bag_by_origin    origin 00 bag                   yes
//	bag_by_place     place 00 bag                    yes: where the bag is now
//	bag_by_grade     grade 00 bag                    yes: its grade now
//	out              bag                             yes: something of it is held or lent
//	bag_by_job       job 00 bag                      yes: an entry of the bag names the job
//	booking_by_who   name 00 number                  yes
//	booking_by_undo  number of what was taken back   number of the booking that took it back
//	reading          count day number of the entry   quantity (varint), 01 where it is about, else 00, bag; count is its number of
//	                                                 bytes (1 byte) and as many bytes, none for a reading of a workbook
//	worth            part                            value in cents (varint), 01 where it is set to be counted first, else 00
package store
