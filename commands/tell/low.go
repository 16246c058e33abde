package tell

import (
	"bufio"
	"encoding/csv"
	"fmt"
	"io"
	"strconv"
	"strings"

	"tinful/store"
	"tinful/store/ask"
)

// Low tells what runs short: what to do now about the worst, then the parts. The list
// may have thousands of lines.
func Low(s *Screen, out ask.LowAnswer) error {
	w := bufio.NewWriterSize(s.Out, 64<<10)
	if len(out.Low) > 0 && out.Low[0].Do != nil {
		l := out.Low[0]
		fmt.Fprintln(w, s.Bold(Hang(fmt.Sprintf("Now: %s %s: %s", l.Part, l.Called(), l.Do.Text), s.Wide, 5)))
	}
	for i, l := range out.Low {
		if i == out.Short {
			fmt.Fprintln(w, lowOthers)
		}
		lowLine(s, w, i, l)
	}
	line := make([]byte, 0, 256)
	for p := range out.Rest.All() {
		line = append(append(append(line[:0], p.Part...), ' '), p.Name...)
		if len(p.Left) > 0 {
			line = append(append(line, ", "...), p.Left...)
		}
		line = append(strconv.AppendInt(append(line, "  "...), p.Free, 10), " free, keep "...)
		shortLine(s, w, strconv.AppendInt(line, p.Keep, 10))
	}
	switch more := len(out.Low) - out.Short; {
	case out.Only:
		fmt.Fprintf(w, "%d with less than to keep: --all looks for more that is likely to be missed\n", out.Short)
	case len(out.Low) == 0:
		fmt.Fprintln(w, "nothing runs short")
	case out.Short == 0:
		fmt.Fprintf(w, "none with less than to keep, %d more\n", more)
	case more > 0:
		fmt.Fprintf(w, "%d with less than to keep, %d more\n", out.Short, more)
	default:
		fmt.Fprintf(w, "%d with less than to keep\n", out.Short)
	}
	if len(out.Last) > 0 {
		last := Each(out.Last, func(l ask.LastOne) string { return fmt.Sprintf("%s %s (%d weeks)", l.Part, l.Called(), l.Weeks) })
		fmt.Fprintln(w, Hang("down to the last one, and long to find: "+strings.Join(last, "; "), s.Columns(), 2))
	}
	return w.Flush()
}

// lowOthers stands above the lines of what is not below its number.
const lowOthers = "not less than to keep, but likely to be missed:"

// lowLine tells a part: whole with its reasons and what to do, else on one line
// without number.
func lowLine(s *Screen, w *bufio.Writer, i int, l ask.LowLine) {
	n, keep := strconv.FormatInt(l.Free, 10), ""
	if l.Keep != nil {
		keep = ", keep " + strconv.FormatInt(*l.Keep, 10)
	}
	if !l.Whole {
		shortLine(s, w, []byte(fmt.Sprintf("%s %s  %s free%s", l.Part, l.Called(), n, keep)))
		return
	}
	head := fmt.Sprintf(":%d %s %s  %s free%s", i+1, l.Part, l.Called(), n, keep)
	fmt.Fprintln(w, Hang(head, s.Wide, 6))
	why := store.Texts(l.Why[1:]) // the first is in the head
	if l.Do != nil && i > 0 {
		why = append(why, "To do: "+l.Do.Text+".")
	}
	if len(why) > 0 {
		fmt.Fprintln(w, "     "+strings.Join(Wrap(strings.Join(why, " "), s.Wide-5), "\n     "))
	}
}

// shortLine tells a part that is not told whole.
func shortLine(s *Screen, w *bufio.Writer, line []byte) {
	if s.Wide > 0 && len(line) > s.Wide {
		line = []byte(Hang(string(line), s.Wide, 4))
	}
	w.Write(append(line, '\n')) // a bufio.Writer keeps its error for Flush
}

// LowCSV writes the list as CSV, one part a row, as it is: a screen would show the ends of
// its lines as numbers.
func LowCSV(to io.Writer, out ask.LowAnswer) error {
	w := csv.NewWriter(to)
	w.UseCRLF = true // RFC 4180, as the other sheets
	if err := w.Write([]string{"Part", "Name", "Free", "Keep", "Buy when", "Risk", "Held", "Wants", "Why", "Do"}); err != nil {
		return err
	}
	number := func(n int64) string { return strconv.FormatInt(n, 10) }
	for _, l := range out.Low {
		known := func(n *int64) string {
			if n == nil {
				return ""
			}
			return number(*n)
		}
		risk, do := "", ""
		if l.Risk != nil {
			risk = strconv.FormatFloat(*l.Risk, 'f', 4, 64)
		}
		if l.Do != nil {
			do = l.Do.Text
		}
		row := []string{string(l.Part), l.Called(), number(l.Free), known(l.Keep), known(l.BuyWhen), risk, number(l.Held), number(l.Wants),
			strings.Join(store.Texts(l.Why), " "), do}
		if err := w.Write(row); err != nil {
			return err
		}
	}
	w.Flush()
	return w.Error()
}
