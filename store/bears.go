package store

// Bears is what bears the number of a model's pieces: the body of a camera, else the
// shutter or lens itself.
func (m Model) Bears() string {
	if m.Kind == "shutter" || m.Kind == "lens" {
		return m.Kind
	}
	return "body"
}

// NumberLabel is what that number is called: body, or of a shutter or lens by itself,
// number.
func (m Model) NumberLabel() string {
	if m.Bears() == "body" {
		return "body"
	}
	return "number"
}
