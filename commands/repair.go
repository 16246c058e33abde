package commands

import (
	"tinful/commands/tell"
	"tinful/store"
	"tinful/store/code"
)

// repair makes anew what follows from records, and says what it did and what is left.
func repair(c *call) error {
	path, err := c.StorePath()
	if err != nil {
		return err
	}
	c.env.opening()
	m, err := store.Repair(path, code.DayOf(c.env.Now()))
	if err != nil {
		return whatHelps(err)
	}
	ok := len(m.Left) == 0
	if c.JSON() {
		out := map[string]any{"ok": ok, "did": append([]string{}, m.Did...), "problems": append([]string{}, m.Left...)}
		if m.Copy != "" {
			out["kept"] = m.Copy
		}
		err = c.PrintJSON(out)
	} else {
		sayMended(c, m)
	}
	if err == nil && !ok {
		c.Notef("%s", afterRepair)
		err = silentError(exitDamaged)
	}
	return err
}

func sayMended(c *call, m store.Mending) {
	if m.Copy != "" {
		c.Printf("the store as it was is %s\n", m.Copy)
	}
	for _, text := range m.Did {
		c.Println(text)
	}
	switch {
	case len(m.Left) > 0:
		for _, text := range m.Left {
			c.Println(text)
		}
		c.Printf("%s left: nothing in the store tells what was there\n", tell.Many(len(m.Left), "problem"))
	case len(m.Did) == 0:
		c.Println("nothing is to be mended: all is well")
	default:
		c.Println("all is well")
	}
}

// afterRepair is what helps where a repair left something.
const afterRepair = "tinful salvage OLD NEW makes a new store of all that can be read, and names what is lost; " + afterDamage
