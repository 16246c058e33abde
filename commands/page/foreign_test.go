package page_test

import (
	"fmt"
	"net/http"
	"net/http/httptest"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/chromedp"
)

// Another page that is open in the same browser, of another port of this machine and so of
// the same site, books nothing, reads nothing and shows nothing of the page inside itself.
func TestBrowserOtherPage(t *testing.T) {
	x := serve(t).browse()
	var form string
	x.visit("/bag/B283?on=105")
	x.do(chromedp.OuterHTML(`form[action="/fit"]`, &form, chromedp.ByQuery)) // as if its word had been seen
	before := x.bookings()
	form = strings.Replace(form, `action="`, `target="answer" action="`+x.root, 1)
	foreign := httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		w.Header().Set("Content-Type", "text/html; charset=utf-8")
		fmt.Fprintf(w, `<!doctype html><title>other</title><iframe name="answer"></iframe><iframe id="inside" src="%[1]s/"></iframe>%[2]s
<form id="plain" method="post" target="answer" action="%[1]s/undo"><input name="n" value="3"></form>
<script src="%[1]s/jobs?format=json" onload="document.title='its script ran'"></script>
<script>
	const read = [];
	const all = ["/", "/log?format=json", "/own/page.js"].map(p => fetch("%[1]s" + p, {credentials: "include"}).then(r => r.text()).then(t => read.push(t), () => {}));
	all.push(fetch("%[1]s/undo", {method: "POST", mode: "no-cors", credentials: "include", body: new URLSearchParams({n: "3"})}).catch(() => {}));
	document.querySelector("form").submit();
	document.querySelector("#plain").submit();
	Promise.all(all).then(() => setTimeout(() => {
		let inside = "";
		try { inside = document.querySelector("#inside").contentDocument.body.textContent } catch (e) { inside = "" }
		document.body.insertAdjacentHTML("beforeend", "<p id=over></p>");
		document.querySelector("#over").textContent = JSON.stringify({read, inside, title: document.title});
	}, 500));
</script>`, x.root, form)
	}))
	defer foreign.Close()
	ctx, end := chromedp.NewContext(x.ctx) // what it does is not held against the page
	defer end()
	over := ""
	if err := chromedp.Run(ctx, chromedp.Navigate(foreign.URL), chromedp.WaitReady("#over"), chromedp.Text("#over", &over, chromedp.ByQuery)); err != nil {
		t.Fatal(err)
	}
	if over != `{"read":[],"inside":"","title":"other"}` {
		t.Errorf("it got hold of %s", over)
	}
	time.Sleep(200 * time.Millisecond)
	if n := x.bookings() - before; n != 0 {
		t.Errorf("it booked %d times", n)
	}
	x.tap("take") // the form is good where it belongs
	x.says("for job 105")
}
