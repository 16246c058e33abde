// Package ask answers questions over a read-only view of the store: which
// parts there are, how a part gets into a camera, what is known of one part.
//
// Its results are structs whose JSON names scripts may rely on. It prints
// nothing and changes nothing. The one surprising rule: a part about which
// nothing is recorded for a camera is no answer to what goes into it, unless it
// was asked for by measure and measures so, and then that is said; but its
// opposite-hand twin that does not go is always named.
//
// A reason ([store.Reason]) has a kind, the codes it speaks of and a text. Beside a
// list of texts (why, traps, likely) JSON has the kinds in the same order (why_kind,
// traps_kind, likely_kind). The words of the kinds:
//
//	kind           said of
//	never          a part that must not go in
//	more-never     further such parts, which are not named one by one
//	body-number    a number that is not among those of the model
//	look-which     a shutter or lens that may be one of two
//	not-carried    a shutter or lens that the model is not known to carry
//	left-out       what was not taken into account, and why
//	not-meshing    a gear whose module is another
//	divided        an outside that was divided by the teeth alone
//	disagrees      measures of one part that do not agree
//	goes-with      what has a partner
//	incomplete     a unit whose pieces came by themselves
//	from-outside   a unit of which nothing is known, since it came from outside
//	too-many       more pieces than one camera has
//	stranger       a part that never goes into the camera it came out of
//	forgotten      a parts camera that was bought and booked months later
//	lacks          a parts camera that lacks what it was bought for
//	out-of-step    a shutter that is not the camera's own
//	foreign-shutter  a part that sits in such a shutter
//	mixed          samples that differ: pieces of more than one kind were weighed
//	misfit         a weight that is no whole number of pieces
//	light          pieces too light to be counted by weight without care
//	record         a mass that was not weighed, but comes from a record, table or formula
//	few            a sample that is small
//	another        a sample that weighs what another part would
//
// Of an answer of find:
//
//	twin          the part's opposite-hand twin
//	other-hand    a part that measures so and is of the other hand
//	both-hands    parts of both hands that measure so
//	other-thread  a part that reads the same and has another thread
//	other-flanks  threads that read the same and have other flanks
//
// Of an answer about threads, where why_kind is published, reckoned (the size is in
// no list, its limits are by formula) or unpublished (no limits are):
//
//	alike         threads that diameter and pitch do not tell
//	mistaken      sizes that one reading can be as well as the one asked about
//	ten-threads   what ten threads of each pitch measure
//	left-hand     a thread that is left-hand
//	other-form    a thread of another form than the threads of the model
//	goes-anyway   a part with such a thread that goes into the model all the same
//	no-form       a model whose thread form is not recorded
//	any-diameter  a pitch that is cut on any diameter
//	conical       a thread that has no one diameter
//
// Beside what differs in an answer of find (difference, difference_kind):
//
//	measure       it measures otherwise
//	not-recorded  what was asked is not recorded of it
//	by            which of its measures the one number was
//	turned        its legs stand the other way about
//	cut           a leg is longer and can be cut
//	bend          the legs can be bent
//	shorten       a screw is longer and can be shortened
//	rework        a shoulder that differs
//
// Of a sheet that a panel can be cut from, in answers of find and need, beside those of
// a layout:
//
//	size          its size, and what of it is not used
//	also          other panels that it gives, and that the camera lacks
//
// Of an answer of cut, in notes and would_do:
//
//	no-size         a panel or a covering whose width or length is not recorded
//	has-already     a panel that is held for the job or fitted in it, and left out
//	another-grain   a covering of another grain
//	another-colour  a covering of another colour
//	to-thin         a covering that is thicker than the rims allow
//	not-thinned     one that is thicker, of a kind that is not thinned
//	panel-as-stock  a panel of a camera that is cut up
//	margin          with this margin all panels would have a place
//	turned-panel    with this one across the grain they would
//	more-sheets     with so many further sheets they would
//
// Of springs (difference, traps, why), beside the words above:
//
//	hand-unknown  the hand of one or both is not recorded
//	legs-unknown  legs of a torsion spring that were not measured
//	post          it does not go over the post
//	stiffness     how the rate differs, all measures together
//	same-wire     it is made of the old one's wire
//	rate          it misses the rate, as coils go by the quarter
//	stress        it is stressed more
//	material      it is of another material
//	free          how much of a wire is free
//	taken-for     a material that is not recorded, or loosely
//
// Of a wire (traps): millimetres (a number read as such), tables (what it is as the
// number of several gauges), way (which way numbers go).
//
// Why closing a job taught nothing about a part: unsaid (nobody said how it went in),
// forbidden (it does not go in), number-unknown, shutter-unknown, lens-unknown.
//
// Of a way to get a part into a camera, and of what is none (why_not_kind):
//
//	goes              what is known of the part and the camera
//	proof             how that is known
//	sibling           a part of the same name that goes in
//	near              a part that is the same or near by measure
//	untried           that nobody has tried it here
//	known-for         where a near part is known to go
//	held, lent        pieces that are set aside for a job, or lent
//	owner             what belongs to somebody else
//	looks, note       of a bag, or the note of a part
//	pattern, scrap    what is only copied, or nothing
//	grade-unknown     a bag that was not looked at
//	seen              what was seen of the part on a parts camera, or how likely it is there
//	camera, history   of a parts camera
//	opening           what opening it costs
//	unit              a unit that contains the part
//	wire              of which wire it can be made
//	no-source         a parts camera that was looked at and lacks it
//	instead           what was done when it was missing before
//	looks-alike       a part that is easily taken for it
//	nothing-recorded  that nothing is recorded of a part and a camera
//	unproven          that it is recorded as unproven
//	look-first        that it depends on what the camera carries, or on its number
//
// What is still to do about a job (todo_kind): ask-agreed, ask-shutter, ask-lens,
// held-still and held-after (pieces set aside), waits (a want), hand-back, make-good.
//
// What runs short (why_kind of low): on-hand, held-for (a job), in-vain (wants),
// demand (what jobs took, the risk, what to keep), young-book, dying-out, seen-lacking
// and may-lack (cameras in the house and those to come). What to do about it (what of
// do): drawer, donor, buy.
//
// Likely reasons of a difference: mix (with another bag), not-booked (fitted or back), booked-out (lost, scrapped or sold),
// unsure-bag (booked from any bag), two-places, elsewhere, loose, in-unit, held, lent,
// twice (booked), units, digits (of the pen).
package ask
