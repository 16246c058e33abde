package store

import (
	"reflect"
)

// merge returns old with every field that rec has a value for, and whether
// anything changed. Of measures and marks each is a field of its own.
func merge[T any](old, rec T) (T, bool) {
	now := old
	o, r, n := reflect.ValueOf(old), reflect.ValueOf(rec), reflect.ValueOf(&now).Elem()
	changed := false
	for i := range r.NumField() {
		f := r.Field(i)
		if r.Type().Field(i).Tag.Get("merge") == "-" {
			continue
		}
		if f.IsZero() || f.Kind() == reflect.Slice && f.Len() == 0 || reflect.DeepEqual(f.Interface(), o.Field(i).Interface()) {
			continue
		}
		if f.Kind() == reflect.Map {
			if !mergeMap(n.Field(i), f) {
				continue
			}
		} else {
			n.Field(i).Set(f)
		}
		changed = true
	}
	return now, changed
}

// mergeMap puts the entries of a map into a copy of another.
func mergeMap(into, from reflect.Value) bool {
	c := reflect.MakeMap(into.Type())
	changed := false
	for k, x := range into.Seq2() {
		c.SetMapIndex(k, x)
	}
	for k, x := range from.Seq2() {
		if was := c.MapIndex(k); !was.IsValid() || !reflect.DeepEqual(was.Interface(), x.Interface()) {
			c.SetMapIndex(k, x)
			changed = true
		}
	}
	into.Set(c)
	return changed
}

// KeepUntold gives now the fields of was that no flag of add and edit gives.
func KeepUntold[T any](was T, now *T) {
	o, n := reflect.ValueOf(was), reflect.ValueOf(now).Elem()
	for i := range o.NumField() {
		if o.Type().Field(i).Tag.Get("flag") == "-" {
			n.Field(i).Set(o.Field(i))
		}
	}
}
