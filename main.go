// Command tinful keeps the spare parts of a camera repair bench: which bag, from
// which donor, goes into which camera.
package main

import (
	"embed"
	"os"

	"tinful/commands"
)

//go:embed testdata/demo/*.csv
var demo embed.FS

func main() {
	os.Exit(commands.Run(os.Args, commands.System(demo, "testdata/demo")))
}
