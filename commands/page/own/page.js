// What the page does by itself: the box has the strokes of a hand scanner wherever the
// focus is, and a form that was sent is not sent again by a second tap. Without this
// script all of it works by hand.
"use strict";

const box = document.getElementById("q");

// What is typed beside a field goes into the box.
document.addEventListener("keydown", (e) => {
	if (e.ctrlKey || e.altKey || e.metaKey || e.key.length !== 1 || e.key === " ") return;
	if (e.target instanceof Element && e.target.closest("input, select, textarea, summary")) return;
	box.focus();
	box.select();
});

for (const form of document.querySelectorAll("form[method=post]")) {
	form.addEventListener("submit", (e) => {
		if (form.dataset.sent) e.preventDefault();
		form.dataset.sent = "yes";
	});
}

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

if (box.autofocus) box.select();
