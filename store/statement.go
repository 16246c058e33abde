package store

import (
	"tinful/store/code"
)

// Statement is the statement that a camera's own fitting bears on: the one about
// its model and number, else the one about the shutter or lens it carries, else a
// new one that says nothing yet. Why says where none can be picked.
func (v *View) Statement(p Part, cam Camera) (g Goes, why Reason, err error) {
	said, err := v.GoesOn(p.Code, cam.Model)
	if err != nil {
		return g, why, err
	}
	if len(said) > 0 {
		return pickStatement(p, cam, said)
	}
	m, err := v.Model(cam.Model)
	if err != nil {
		return Goes{Part: p.Code, Model: cam.Model}, why, nil
	}
	for _, k := range []struct {
		kind    string
		known   code.Code
		unknown ReasonKind
	}{{"shutter", cam.Shutter, ShutterUnknown}, {"lens", cam.Lens, LensUnknown}} {
		may := nonEmpty(k.known)
		if len(may) == 0 {
			if may, err = v.Carried(m, k.kind); err != nil {
				return g, why, err
			}
		}
		for _, c := range may {
			if said, err = v.GoesOn(p.Code, c); err != nil {
				return g, why, err
			}
			if len(said) == 0 && p.Seat != k.kind {
				continue
			}
			if len(may) > 1 {
				return g, Say(k.unknown, "its %s is not noted", k.kind).Of(p.Code), nil
			}
			if len(said) > 0 {
				return said[0], why, nil
			}
			return Goes{Part: p.Code, Model: c}, why, nil
		}
	}
	return Goes{Part: p.Code, Model: cam.Model}, why, nil
}

// pickStatement picks of several statements the one for a body number.
func pickStatement(p Part, cam Camera, said []Goes) (Goes, Reason, error) {
	var holds []Goes
	for _, g := range said {
		if InRange(cam.BodyNo, g.From, g.To) {
			holds = append(holds, g)
		}
	}
	switch len(holds) {
	case 0: // stated of other numbers alone: this one is a statement of its own
		return Goes{Part: p.Code, Model: cam.Model, From: cam.BodyNo, To: cam.BodyNo}, Reason{}, nil
	case 1:
		return holds[0], Reason{}, nil
	}
	return Goes{}, Say(NumberUnknown, "it depends on the body number, which is not noted").Of(p.Code, cam.Model), nil
}
