package commands

import (
	"strconv"
	"strings"

	"tinful/commands/line"
	"tinful/commands/tell"
	"tinful/store"
)

func undo(c *call) error {
	var number uint64
	if len(c.Args()) == 1 {
		n, err := strconv.ParseUint(strings.TrimPrefix(c.Args()[0], "#"), 10, 64)
		if err != nil || n == 0 {
			return line.Usagef("%q is no number of a booking: tinful log shows them", c.Args()[0])
		}
		number = n
	}
	var was store.Booking
	res, err := onDay(c, func() (res store.Result, err error) {
		res, was, err = takeBack(c, number)
		return res, err
	})
	if err != nil {
		return err
	}
	if err := tell.Booked(c.Screen, res); err != nil || c.JSON() {
		return err
	}
	c.Printf("booking %d (%s) is taken back\n", was.Number, was.Command)
	return nil
}

// takeBack undoes a booking, 0 for the person's own latest, and returns it as well.
func takeBack(c *call, number uint64) (store.Result, store.Booking, error) {
	var was store.Booking
	path, err := c.StorePath()
	if err != nil {
		return store.Result{}, was, err
	}
	s, err := opened(c, path, store.OpenToBook)
	if err != nil {
		return store.Result{}, was, whatHelps(err)
	}
	defer s.Close()
	err = s.View(func(v *store.View) error {
		if number == 0 {
			was, err = v.Latest(c.By())
		} else {
			was, err = v.BookingNo(number)
		}
		return err
	})
	if err != nil {
		return store.Result{}, was, whatHelps(err)
	}
	h, err := c.head(s)
	if err != nil {
		return store.Result{}, was, err
	}
	res, err := s.Undo(h, was.Number)
	if c.due = err == nil; c.due {
		keepBooking(c, res)
	}
	return res, was, whatHelps(err)
}
