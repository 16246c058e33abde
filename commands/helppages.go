package commands

import "embed"

// pages are the pages of help that are about no command.
//
//go:embed pages/*.txt
var pages embed.FS

// page is a page of help by the name of its topic.
func page(topic string) string {
	text, _ := pages.ReadFile("pages/" + topic + ".txt") // helpTopics names what is there
	return string(text)
}
