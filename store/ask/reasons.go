package ask

import "tinful/store"

// Kinds of reasons, as why_kind, traps_kind, why_not_kind and todo_kind have them.
// What each is said of stands in the doc of the package; likely reasons of counts
// have the words of store/differ.
const (
	TooMany    store.ReasonKind = "too-many"
	Stranger   store.ReasonKind = "stranger"
	Forgotten  store.ReasonKind = "forgotten"
	LacksIt    store.ReasonKind = "lacks"
	OutOfStep  store.ReasonKind = "out-of-step"
	BodyNumber store.ReasonKind = "body-number"
	AskShutter store.ReasonKind = "ask-shutter"
	AskLens    store.ReasonKind = "ask-lens"
	LookWhich  store.ReasonKind = "look-which"
	NotCarried store.ReasonKind = "not-carried"
	MoreNever  store.ReasonKind = "more-never"
	LeftOut    store.ReasonKind = "left-out"
	NotMeshing store.ReasonKind = "not-meshing"
	Divided    store.ReasonKind = "divided"
	Disagrees  store.ReasonKind = "disagrees"
	GoesWith   store.ReasonKind = "goes-with"
	AskAgreed  store.ReasonKind = "ask-agreed"
	HeldStill  store.ReasonKind = "held-still"
	HeldAfter  store.ReasonKind = "held-after"
	Waits      store.ReasonKind = "waits"
	HandBack   store.ReasonKind = "hand-back"
	MakeGood   store.ReasonKind = "make-good"
)

// Of what runs short.
const (
	OnHand      store.ReasonKind = "on-hand"
	HeldFor     store.ReasonKind = "held-for"
	InVain      store.ReasonKind = "in-vain"
	Demanded    store.ReasonKind = "demand"
	YoungBook   store.ReasonKind = "young-book"
	DyingOut    store.ReasonKind = "dying-out"
	SeenLacking store.ReasonKind = "seen-lacking"
	MayLack     store.ReasonKind = "may-lack"
	InDrawer    store.ReasonKind = "drawer"
	InDonor     store.ReasonKind = "donor"
	ToBuy       store.ReasonKind = "buy"
)
