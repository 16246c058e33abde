package store

// GiveBack does nothing: the system takes back by itself what it wants.
func GiveBack([]byte) {}
