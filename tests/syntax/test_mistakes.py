"""What is said of a text that cannot be read, and that every mistake of it is said."""

from __future__ import annotations

import pytest

from plancheck.source import Source
from plancheck.syntax import read_statements
from tests.marked import compare

BROKEN = {
    "a wire without its terminal": """
wire PS1 to FA1:COM
#    ^^^ This wire cannot be read from “PS1” on · expected a terminal such as PS1:+
""",
    "a misspelt word of a wire": """
wire PS1:+ too FA1:COM
#          ^^^ expected “to” · Did you mean “to”?
""",
    "a misspelt statement": """
wier PS1:+ to FA1:COM
#    ^^^^^ found “PS1:+” · Did you mean “wire …”?
""",
    "a wire that ends too early": """
wire PS1:+ to
#            ^ This wire is cut short · found the end of the line · a terminal
wire PS1:+ to A:1
""",
    "a sign that has no business there": """
fuse F1 { rated 1 A & more }
#                   ^ This attribute cannot be read · found “&” · the end of the line
""",
    "every mistake of a block": """
supply PS1 {
    output = 24 Vdc
#          ^ found “=”
    battery 7 Ah
    standby 4 h (about)
#               ^ found “(”
    class 2; float ?; cut-off *
#                  ^ found “?”
#                             ^ found “*”
}
wire A:1 to B:2
""",
    "a title without quotes": """
door D101 Rear exit {
#         ^^^^ a text in quotes, the end of the line or “{”
    locks ML1
}
""",
    "a text never closed": """
door D101 "Rear exit {
#         ^^^^^^^^^^^^ a text whose quotes are not closed on its line · Close it
    locks ML1
}
""",
    "curly quotes": """
plan “Rear”
#    ^ the curly quote “ · straight quotes
""",
    "a comment too close": """
wire A:1 to B:2# note
#              ^ “#” right behind a word · A comment needs a blank
""",
    "a terminal torn apart": """
wire A : 1 to B:2
#    ^ found “A” · a terminal such as PS1:+
""",
    "a number that begins with its point": """
fuse F1 { rated .5 A }
#               ^ found “.” · 0.5
""",
    "a brace too many": """
fuse F1 { rated 1 A }
}
#< found “}” · a statement · No block is open here.
wire A:1 to B:2 }
#               ^ found “}” · the end of the line · No block is open here.
""",
    "something behind a block": """
fuse F1 { rated 1 A } fuse F2 { rated 1 A }
#                     ^^^^^^^^^^^^^^^^^^^^^ Something stands behind the end of the block
""",
    "a header with nothing behind it": """
revision
#       ^ This statement is cut short
""",
    "every mistake of a kind": """
kind k is lock {
#         ^^^^ found “lock” · expected “a”
    load coil + - { volts <v }
#                         ^ This setting cannot be read from “<” on · a name, a number or “%”
    contact a b maed when x
#                    ^^^^ found “when” · Say “made when” or “alive when”.
    needs rated <v voltage>
#                  ^^^^^^^ expected “:”
    wobble x
#   ^^^^^^ This line cannot be read · a line of a kind
    repeat n {
        link a
#             ^ This line is cut short · a terminal's name
    }
}
""",
    "every mistake of a typical": """
typical t (a b) {
#            ^ found “b” · expected “)” or “,”
    wire A to B:2
#        ^ a terminal such as PS1:+
    fuse
#       ^ This statement is cut short
}
""",
}


@pytest.mark.parametrize("text", BROKEN.values(), ids=BROKEN.keys())
def test_what_is_said(text: str) -> None:
    compare(text, read_statements(Source("t.plan", text))[1])
