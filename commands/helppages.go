package commands

// benchPage is the page of the bench line.
const benchPage = `tinful alone: the bench line, open for many lines

Usage: tinful [FLAGS]                   on a terminal
       tinful [FLAGS] [--keep-going] < FILE

A line is a command as in the shell, without "tinful" before it and quoted alike
("customer 1"). Flags given at the start hold for every line. The store is
opened for one line at a time, so that a second terminal can work beside it.
Each open line, and each terminal, has its own job in hand and last answer.

Lines:
  fit p21 2         any command
  b203              a code shows the thing
  counter pawl      what is no command is looked for, as find does
  :1                takes up the line before that was refused with a list, its
                    number and flags kept; :1 2 takes two. Else it shows line 1
                    of the last answer
  on 105            the job in hand stands in the prompt, with ? from an earlier
                    day
  again             the last booking once more, for the job now in hand
  more, or Enter    goes on with an answer that was longer than the screen
  me H              H books from now on; me alone says who does
  clear             empties the screen
  # words           a remark
  quit, exit, bye   leave

Keys: Ctrl-D leaves, Ctrl-C abandons the line, Tab lists commands, flags, codes
with their names and words, the arrows and Ctrl-R go through what was typed.

From a file or a pipe the lines are run in order. The first that fails ends it
and is told with its number; what was booked before stands. --keep-going runs
the others too. A line that is refused with a list has not failed when the next
one, :1, answers it. The exit code is that of the last line that failed, 0 where
none did.
`

// topicPages are the other pages that are about no command.
var topicPages = map[string]string{
	"codes": `Codes: how things are named

  P003  a kind of part      B203  a bag of pieces       K1   a place
  W2-B  a model             PC-03 a parts camera        105  a job

A code is letters, digits, - . and /, at most 32, and never changes. Reading is
forgiving: capitals, hyphens, dots, blanks and leading zeros do not matter, so
that pc3, p1 and w2b are PC-03, P001 and W2-B. An exact code goes first.

Where one word names two things both are named; bag:101 and job:101 tell them
apart. In a booking a number behind a code is how many (fit b230 2), and a thing
whose code is all digits is written bag:704.

:2 is line 2 of the last answer printed on this terminal. Where the code of a
part may stand, words of its name may: need counter pawl spring.
`,
	"days": `Days: how they are typed

  2031-08-31    the day itself
  today, yesterday
  fri           the last Friday; where a day is to come, the next
  -3d           three days ago
  +14d          in fourteen days, where a day is to come (--promised)

--at DAY books on that day: into the past as far as the book allows it. The
program's day is the clock's, but never earlier than the last day in the book;
that it is ahead is said once.
`,
	"json": `JSON: answers for programs

--json prints one object on one line, {"tinful":1, ...}, whatever the exit code
is, where there is an answer. Lengths are in millimetres, angles in degrees,
masses in grams; money is in cents (..._cents), days are 2031-08-31, instants
RFC 3339 in UTC. What is known is always there, 0 and false too; what is not
known or empty is left out. Lists are never cut off.

Beside a list of sentences (why, traps, likely) stands a list of the same length
with _kind behind its name: one word each, which programs may rely on. Names are
only ever added. What goes wrong is on standard error, and in the exit code:
  ` + exitWords + `
`,
}
