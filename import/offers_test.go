package sheet

import (
	"errors"
	"testing"

	"tinful/store"

	"github.com/google/go-cmp/cmp"
)

func TestReadOffers(t *testing.T) {
	good := writeFile(t, "offers.csv", "\xef\xbb\xbfPrice,OFFER,Seen at,model\r\n35.00,X1,market,W2-B\r\n,,,\r\n\"22,50\",X2,,W1-A,\r\n")
	rows, ignored, err := ReadOffers(good)
	want := []OfferRow{{Line: 2, Offer: "X1", Price: "35.00", Model: "W2-B"}, {Line: 4, Offer: "X2", Price: "22,50", Model: "W1-A"}}
	if diff := cmp.Diff(want, rows); diff != "" || err != nil || !cmp.Equal(ignored, []string{"Seen at"}) {
		t.Errorf("%v, ignored %v\n%s", err, ignored, diff)
	}
	for name, text := range map[string]string{"offers.doc": "Offer,Price,Model\n", "none.csv": "", "no price.csv": "Offer,Model\nX1,W2-B\n", "quote.csv": "Offer,Price,Model\n\"X1,2\n"} {
		if _, _, err := ReadOffers(writeFile(t, name, text)); !errors.Is(err, store.ErrBadInput) {
			t.Errorf("%s: %v, want bad input", name, err)
		}
	}
}
