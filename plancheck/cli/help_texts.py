"""What `--help` says, by command. Imports nothing: it is asked for more often than a review."""

from __future__ import annotations

_OVERVIEW = """\
usage: plancheck review PATH… [options]
       plancheck sequence PATH [options]
       plancheck failures PATH [options]
       plancheck submittal PATH… --to DIR [options]
       plancheck readings PLAN FILE.csv [options]
       plancheck compare OLD NEW [options]
       plancheck existing PATH… --to FILE [options]
       plancheck editor [options]
       plancheck fair-copy PATH… [--tell]
       plancheck rules [show ID | trial [DIR] | words [WORD] | why ID PLAN |
                        new ID | manual] [options]

Reads wiring plans of electric locks and gates, works out every operating
condition, and holds it against rules.

  review    prints a correction list for each plan, worst first
  sequence  tells how each door and gate works, event by event
  failures  tells what each single failure does, worst first
  submittal draws up what is handed over: diagrams, schedules, test sheet
  readings  holds a filled-in test sheet against the plan, and says what would
            explain the readings that are outside
  compare   tells what changed electrically between two revisions
  existing  records what is found today, so that a review shows what is new
  editor    serves an editor that speaks LSP: mistakes while they are typed
  fair-copy lays plans and rules out, without changing a word
  rules     lists the rules, explains one, tries their examples, tells why one
            judged as it did, begins a new one, writes the manual

  plancheck COMMAND --help says more; plancheck --version says which this is.
"""

_REVIEW = """\
usage: plancheck review PATH… [options]

Reviews plans: files, or folders in which every file ending in .plan is one.

  --as text|json|sarif   a correction list to read, JSON, or a SARIF log (text)
  --full                 each counterexample step by step, to be done again on
                         site: events, contacts, volts along the path; and the
                         rules that were run by name
  --to FILE              write there instead; a file appears whole or not at all
  --packs DIR            rules and device kinds of your own, beside the shipped
                         ones; may be given again
  --house FILE           your company's own file, which names packs; without it,
                         plancheck.house beside the plan or above it, up to the
                         folder given or the one you work in
  --fail-at SEVERITY     error, warning or note: from which on findings make the
                         exit status 1 (warning)
  --width COLUMNS        width of the text, 40 to 400 (the terminal's, or 100)
  --as-of YYYY-MM-DD     the day by which variances are judged (today)
  --index FILE           also write a page for browser and print there: a table
                         of all plans that can be sorted
  --processes N          review as many plans at once (as there are cores; 1 is
                         one after another, in the least memory)
  --existing FILE        leave out what this record of existing findings holds,
                         except life safety and what has become worse

Exit status: 0 wholly analysed and nothing at or above --fail-at; 1 findings;
2 something was not read or analysed, or the command was not understood.
"""

_SUBMITTAL = """\
usage: plancheck submittal PATH… --to DIR [options]

Draws up what is handed over of each plan, into a new folder: a page to read
and print that needs nothing else, with cover, correction list, wiring
diagrams in which a condition can be chosen, sequence of operation, single
failures, schedules and test sheet; and the same as JSON and as tables (CSV).

  --to DIR               the folder; it must not hold anything yet, and appears
                         whole or not at all
  --packs DIR            rules and device kinds of your own, beside the shipped
                         ones; may be given again
  --house FILE           your company's own file, which names packs; without it,
                         plancheck.house beside the plan or above it, up to the
                         folder given or the one you work in
  --fail-at SEVERITY     error, warning or note: from which on findings make the
                         exit status 1 (warning)
  --as-of YYYY-MM-DD     the day by which variances are judged (today)
  --processes N          how many plans to draw up at once (as many as there are
                         cores)

Exit status: 0 wholly analysed and nothing at or above --fail-at; 1 findings;
2 something was not read or analysed, or the command was not understood.
"""

_READINGS = """\
usage: plancheck readings PLAN FILE.csv [options]

Holds the readings of a filled-in test sheet (`test-sheet.csv` of a submittal)
against what the plan predicts; then tells which single failures, or which
exchange of two wires, would explain them all best, and what to read next.

Of the sheet, the columns condition, from, to and reading V are taken, in any
order; lines without a reading are passed over.

  --as text|json         to read, or for programs (text)
  --to FILE              write there instead; a file appears whole or not at all
  --packs DIR            rules and device kinds of your own, beside the shipped
                         ones; may be given again
  --house FILE           your company's own file, which names packs
  --width COLUMNS        width of the text, 40 to 400 (the terminal's, or 100)

Exit status: 0 every reading is within its tolerance; 1 some are not; 2
something was not read or worked out, or the command was not understood.
"""

_COMPARE = """\
usage: plancheck compare OLD NEW [options]

Tells what changed from one revision of a plan to another, electrically: devices
come, gone and renamed, data, connections, conductors, how each lock stands at
each event, findings come and gone. Another order of statements, another layout
and other comments are no change.

  --as text|json         to read, or for programs (text)
  --to FILE              write there instead; a file appears whole or not at all
  --packs DIR            rules and device kinds of your own, beside the shipped
                         ones; may be given again
  --house FILE           your company's own file, which names packs
  --width COLUMNS        width of the text, 40 to 400 (the terminal's, or 100)
  --as-of YYYY-MM-DD     the day by which variances are judged (today)

Exit status: 0 nothing changed but the title block or names; 1 something did; 2
something was not read or analysed, or the command was not understood.
"""

_EXISTING = """\
usage: plancheck existing PATH… --to FILE [options]

Records what a review finds in plans that are taken on as they are. Then
`plancheck review PATH… --existing FILE` shows what is new, what has become
worse, and always what is life safety, which is never recorded; nor is what
could not be read or judged, nor what has a variance.

  --to FILE              the record: a text, a line to a finding
  --replace              write over a record that is there
  --shorten              only take out of the record that is there what has
                         gone since; nothing is added
  --packs DIR            rules and device kinds of your own, beside the shipped
                         ones; may be given again
  --house FILE           your company's own file, which names packs
  --as-of YYYY-MM-DD     the day that the record bears, and by which variances
                         are judged (today)
  --processes N          review as many plans at once (as there are cores)
  --width COLUMNS        width of the text, 40 to 400 (the terminal's, or 100)

Exit status: 0 recorded; 2 something was not read or analysed, or the command
was not understood. Of a plan that was not wholly read nothing is recorded.
"""

_EDITOR = """\
usage: plancheck editor [options]

Serves one editor over the Language Server Protocol, through standard input and
output, until the editor goes: findings while a plan or a rule is typed, what
was worked out, completion, renaming, fixes. The README shows how editors are
told to start it.

  --port NUMBER          wait for the editor at this TCP port instead; 0 takes a
                         free one, which is told on standard error
  --host ADDRESS         the address to wait at (127.0.0.1)
  --packs DIR            rules and device kinds of your own, beside the shipped
                         ones; may be given again
  --house FILE           your company's own file, which names packs; without it,
                         plancheck.house beside a plan or above it, up to the
                         folder that is open in the editor
  --as-of YYYY-MM-DD     the day by which variances are judged (today)

Exit status: 0 the editor said that it goes; 1 it went without a word; 2 the
command was not understood, or the port cannot be had.
"""

_FAIR_COPY = """\
usage: plancheck fair-copy PATH… [--tell]
       plancheck fair-copy - [--as plan|rules]

Lays plans and rules out: blocks set in by four columns, one blank between
words but where they line up with the lines around, no blanks at the ends of
lines, one empty line where there are several. No word and no comment changes
or moves; a statement that cannot be read stays as it is. What is laid out
already is left alone. Files are named as they are written.

  --tell                 only name the files that would change
  -                      from standard input to standard output
  --as plan|rules        what standard input holds (plan)

Exit status: 0; 1 with --tell, where a file would change; 2 something was not
read or written, or the command was not understood.
"""

_RULES = """\
usage: plancheck rules                 every rule with severity and title
       plancheck rules show ID         one rule: basis, limits, examples
       plancheck rules trial [DIR]     run the rules' own examples; only those
                                       of one pack where its folder is given
       plancheck rules words [WORD]    the words that a rule may use
       plancheck rules why ID PLAN     why a rule judged a plan as it did: what
                                       it went through and left out, and what
                                       each expression came to
       plancheck rules new ID          a commented file to start a rule from
       plancheck rules manual          every rule on a page of its own

  --why                  after a trial, why of each example that went wrong;
                         with --rule, of every example
  --rule ID              try only this rule
  --on NAME              tell only why of this door, device or other thing
  --packs DIR            rules and device kinds of your own, beside the shipped
                         ones; may be given again
  --house FILE           your company's own file, which names packs
  --to FILE              write there instead; the manual is written for browser
                         and print where FILE ends in .html, else as Markdown;
                         `new` never writes over a file
  --width COLUMNS        width of the text, 40 to 400 (the terminal's, or 100)

Exit status: 0; 1 an example did not do what it says; 2 a rule or the command
was not understood.
"""

_DOCUMENT = """\
  --door NAME            only that door or gate; may be given again
  --as text|json|csv     a document to read, JSON, or a line for each row (text)
  --to FILE              write there instead; a file appears whole or not at all
  --packs DIR            rules and device kinds of your own, beside the shipped
                         ones; may be given again
  --house FILE           your company's own file, which names packs; without it,
                         plancheck.house beside the plan or above it, up to the
                         folder given or the one you work in
  --width COLUMNS        width of the text, 40 to 400 (the terminal's, or 100)

Exit status: 0 everything was worked out; 2 something was not read or not
assessed, or the command was not understood.
"""

_SEQUENCE = (
    """\
usage: plancheck sequence PATH [options]

Works out the sequence of operation of a plan: for each door and gate what is
held and what lets go in normal condition, with each credential and each way
out, on fire alarm, without mains, without reserves, and afterwards.

"""
    + _DOCUMENT
)

_FAILURES = (
    """\
usage: plancheck failures PATH [options]

Works out what each single failure does to each door and gate of a plan, worst
first, alike ones together: whom it locks in, which release or protection it
takes away, what it leaves open; and what was not covered.

"""
    + _DOCUMENT
)

HELP = {
    "": _OVERVIEW,
    "review": _REVIEW,
    "sequence": _SEQUENCE,
    "failures": _FAILURES,
    "submittal": _SUBMITTAL,
    "readings": _READINGS,
    "compare": _COMPARE,
    "existing": _EXISTING,
    "editor": _EDITOR,
    "fair-copy": _FAIR_COPY,
    "rules": _RULES,
}
