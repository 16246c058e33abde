//go:build !linux

package store

import bolt "go.etcd.io/bbolt"

// forget leaves it to the system which pages of a file stay in memory.
func forget(*bolt.Tx) {}
