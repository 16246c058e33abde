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
// A frame is the format byte 02, the number of the booking that wrote it (uvarint),
// what it frames, and a CRC-32C, big-endian, that is checked before anything else is
// read. The sum covers the name of the bucket, a zero byte, the key and the frame, so
// that no bit of them flips unseen, and so that whoever finds the bytes alone knows
// where they belong, and which of two is the later. A record is a frame of a CBOR map
// with small integer keys (RFC 8949, core deterministic encoding); it leaves out what
// its key tells. The word "record" below stands for a frame of the type that is named.
//
// A row is what stands in an index or in meta: its value, then a sum of 2 bytes, the
// two halves of the CRC-32C of bucket, zero byte, key and value laid over each other
// (exclusive or). The table names the value alone; where it names none there is none.
// A row that does not agree with its sum ends the question. "schema" has no sum, for
// older programs read it.
//
// A bucket that a store lacks is empty, one that is not in the table is damage.
//
// # Damage
//
// [Examine] walks over the pages, reads all records, and makes anew what follows from
// them. Three ways lead out of damage, by what is damaged. What follows from records
// [Repair] makes anew in place, after a copy, and only where every record can be read:
// an index that names a record which is not there is the last trace of it. Records,
// and pages that no longer lead to each other, are for [Salvage]: it asks every page,
// not the tree, and takes what agrees with its sum. Of two records under one key that
// of the later booking is taken. Pages that the list of free pages names, and those
// that no tree leads to though all trees are whole, hold only what is not so any more
// or never came to be, and are passed over. What the former bytes say was taken away
// stays away. The entries that are lost are told by the numbers that balances list; the
// words of a balance add up over all entries, so that what is missing in the sum of
// those that are there is put in, a word an entry.
//
// # Keys
//
// The table is a file format: one function a row in keys.go, one test a row in
// keys_test.go. A changed row raises schemaVersion and adds a step to migrate.go.
//
// Numbers are 8 bytes big-endian, so that keys sort as numbers do. Days are 4
// bytes, measures 8, big-endian with the sign bit turned. A text followed by
// another field ends in a zero byte (00), so that a scan for P1 does not return
// P10; codes and folded text never contain one.
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
//	                 "set/" name                     a setting, text: currency, demo, and salvaged, the number of the booking before
//	                                                 which nothing can be taken back
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
//	draft            kind 00 camera                  record Draft: no booking writes it, the one that books its lines takes it away
//	paper            name                            record Paper
//	label            kind 00 code                    record Label: the last label of a bag, part, donor, job or place
//	note             kind 00 code 00 number          record Remark; the first of a thing is 1
//	picture          kind 00 code 00 number          record Picture; the first of a thing is 1
//	shop             "shop"                          record Shop
//	month            name, 2031-08                   record Month: a sheet that was handed over
//
//	entry            number of the first             frame of entries of one booking in a row, 1264 bytes at most unless one
//	                                                 is longer: for each its length (uvarint) and CBOR
//	booking          number                          record Booking
//	former           booking bucket 00 key           frame of what the booking did to a record of the catalogue: 00 there was
//	                                                 none before, 01 it was changed, 02 it was taken away; then, but for 00,
//	                                                 the record before. Nothing for the booking that made the store, nor for
//	                                                 what came and went in one booking
//
//	state            bag                             record State: the balance that follows from the bag's entries; of a bag
//	                                                 that was taken back what its code did; with 512 entries and more how
//	                                                 the bag stood at the end of each day and who had pieces lately, which a
//	                                                 store may lack
//	figure           part                            record Figure: the sum of the part's own bags, none where it is zero
//	short            part                            free, keep, held (varints), name: parts with less free than to keep
//	code             loose 00 kind 00 code           codes that have a record; of bags those that are not their own
//	                                                 forgiving reading
//	name             kind 00 folded name 00 code     kind is part or model, a model's aliases too
//	word             word 00 part                    2 bytes: times the word stands in the part, words of the part (255 at most)
//	class            class 00 part
//	dim              field (1 byte) measure part     class length (1 byte), class, then each indexed measure of the part:
//	                                                 field (1 byte), varint. Fields as in package dim; 200 and 201 are the
//	                                                 thread's diameter and pitch, in nanometres
//	goes_by_model    model 00 part 00 from 00 to     degrees, parted by semicolons
//	twin             twin 00 part
//	held_in          part 00 unit                    units that contain the part
//	carried          model 00 camera                 cameras that may carry the shutter or lens
//	family           folded family 00 model
//	donor_by_model   model 00 donor
//	donor_by_lot     lot 00 donor
//	seen_by_part     part 00 camera                  what was seen; camera as above
//	want_by_part     part 00 key of the want         01 while it is open, 00 when it is met
//	want_by_job      job 00 key of the want          01 while it is open, 00 when it is met
//	job_by_tray      tray 00 job                     01 while it is open, 02 when its camera is ready and not fetched, else 00;
//	                                                 jobs with a tray, and those without whose camera is in the house
//	old_open         job 00 number                   customers' pieces that are to be handed back or made good
//	owner            owner 00 kind 00 code           what belongs to somebody else: kind is donor or bag, bags that hold something
//	bag_by_part      part 00 bag                     flags (1 byte: 1 about, 2 mm, 4 has a note, 8 not own), on hand, held, lent,
//	                                                 day last counted, pieces used (varints), grade (1 byte, as in line.go), then
//	                                                 place, origin and, with flag 8, owner, each ended by 00; part is empty for
//	                                                 what is unsorted
//	bag_by_origin    origin 00 bag                   day on which its pieces last came in (varint), 0 where that was taken back
//	bag_by_place     place 00 bag                    where the bag is now
//	bag_by_grade     grade 00 bag                    its grade now
//	out              bag                             something of it is held or lent
//	bag_by_job       job 00 bag                      an entry of the bag names the job
//	booking_by_who   name 00 number
//	booking_by_undo  number of what was taken back   number of the booking that took it back
//	reading          count day number of the entry   quantity (varint), 01 where it is about, else 00, bag; count is its number of
//	                                                 bytes (1 byte) and as many bytes, none for a reading of a workbook
//	worth            part                            value in cents (varint), 01 where it is set to be counted first, else 00
package store
