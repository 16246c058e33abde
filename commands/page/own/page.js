// What the page does by itself: the box has the strokes of a hand scanner wherever the
// focus is, a digit behind a bag takes so many, words are looked for while they are typed,
// and a form that was sent is not sent again by a second tap. Without this script all of it
// works by hand.
"use strict";

const box = document.getElementById("q");
const asks = box.form;

// Strokes that follow each other within so many milliseconds are those of a scanner: no
// hand types so. Before the first of them the scanner was silent: the end of a word that
// is typed quickly is none.
const quick = 35;
const silence = 300;
const codeLike = /^[A-Za-z0-9:.-]{2,40}$/;
let burst = null;
let stroke = -1000; // when the last key was pressed in a field
let scanned = -1000; // when the last of them came

// What is typed beside a field goes into the box, and so does what a scanner types into
// one: the field has again what it had.
document.addEventListener("keydown", (e) => {
	if (e.ctrlKey || e.altKey || e.metaKey || e.isComposing) return;
	const field = e.target instanceof Element && e.target.closest("input, select, textarea, summary");
	if (field === box) return;
	if (!field) {
		if (e.key.length !== 1 || e.key === " ") return;
		box.focus();
		box.select();
		return;
	}
	const late = !burst || burst.field !== field || e.timeStamp - burst.last > quick;
	if (e.key === "Enter") {
		if (!late && burst.silent && codeLike.test(burst.text)) {
			e.preventDefault();
			if (field.type !== "file" && "value" in field) field.value = burst.before;
			box.value = burst.text;
			scanned = e.timeStamp;
			asks.requestSubmit();
		}
		burst = null;
	} else if (e.key.length === 1) {
		if (late) burst = { field, before: field.value, text: "", silent: e.timeStamp - stroke > silence };
		burst.text += e.key;
		burst.last = stroke = e.timeStamp;
	}
}, true);

document.addEventListener("submit", (e) => {
	const form = e.target;
	if (form === asks) {
		// Tray, bag, digit: so many are taken of the bag that stands here.
		const take = document.querySelector("input[data-digits]");
		if (take && box.value.length === 1 && take.dataset.digits.includes(box.value)) {
			e.preventDefault();
			take.value = box.value;
			take.form.requestSubmit();
		}
		stop();
		return;
	}
	if (e.timeStamp - scanned < 500) e.preventDefault(); // its Enter was for the box
	if (form.method !== "post" || form.target || e.defaultPrevented) return;
	if (form.dataset.sent) e.preventDefault();
	form.dataset.sent = "yes";
});

// A page that comes back from the browser's memory may send again: the program answers
// what it booked the first time.
addEventListener("pageshow", (e) => {
	if (e.persisted) for (const form of document.querySelectorAll("form")) delete form.dataset.sent;
});

// The keys of a count write into its field.
for (const keys of document.querySelectorAll(".keys")) {
	const field = keys.closest("form").elements.n;
	keys.hidden = false;
	keys.addEventListener("click", (e) => {
		if (e.target.type !== "button") return;
		const key = e.target.textContent;
		field.value = key.length === 1 && key >= "0" && key <= "9" ? field.value + key : field.value.slice(0, -1);
	});
}

// One tap opens the camera of the device, and the picture of a label is read at once.
const scan = document.querySelector(".scan");
if (scan) {
	const picture = scan.querySelector("input[type=file]");
	const opener = scan.querySelector("summary");
	opener.addEventListener("click", (e) => {
		e.preventDefault();
		picture.click();
	});
	picture.addEventListener("change", () => {
		if (!picture.files.length) return;
		opener.textContent = "reading the label";
		picture.form.requestSubmit();
	});
}

// Words are looked for while they are typed; a code waits for Enter.
const pause = 250;
const wordy = /[^\W\d_]{3}/u;
let waits = 0;
let shown = location.pathname + location.search;
let asked = null;

function stop() {
	clearTimeout(waits);
	if (asked) asked.abort();
}

async function look() {
	asked = new AbortController();
	const query = new URLSearchParams(new FormData(asks));
	query.delete("bag");
	const at = "/find?" + query;
	try {
		const answer = await fetch(at, { signal: asked.signal, headers: { Accept: "text/html" } });
		if (!(answer.headers.get("Content-Type") || "").startsWith("text/html") || answer.redirected || answer.status === 503) return;
		const page = new DOMParser().parseFromString(await answer.text(), "text/html");
		const found = page.getElementById("main");
		if (!found) return;
		document.getElementById("main").replaceWith(found);
		const foot = page.querySelector("footer");
		if (foot) document.querySelector("footer").replaceWith(foot);
		document.title = page.title;
		document.getElementById("heard").textContent = found.querySelectorAll(".hit").length ? found.querySelector("h1").textContent : "nothing found";
		if (location.pathname === "/find") history.replaceState(null, "", at);
		else history.pushState(null, "", at);
		shown = at;
	} catch (e) {
		if (e.name !== "AbortError") throw e;
	}
}

box.addEventListener("input", () => {
	stop();
	const text = box.value.trim();
	if (!wordy.test(text) || /^\S*\d\S*$/.test(text) || text.includes(":")) return;
	waits = setTimeout(look, pause);
});

// The screen before a search is asked for anew.
addEventListener("popstate", () => {
	if (location.pathname + location.search !== shown) location.reload();
});

if (box.autofocus) box.select();
