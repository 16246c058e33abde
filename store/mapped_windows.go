package store

// giveBack does nothing: the system takes back by itself what it wants.
func giveBack([]byte) {}
