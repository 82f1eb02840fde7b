"""A lock behind many buttons: all in a row, side by side, or in a ladder of pairs. Each button breaks when pressed."""

from __future__ import annotations

ENDS = 'supply PS1 "24 V" { output 24 Vdc, 2 A }\nmagnetic-lock ML1 { rated 24 Vdc, 240 mA }\nwire ML1:- to PS1:-\n'


def series(count: int) -> str:
    """All in a row."""
    return ladder(0, count)


def parallel(count: int) -> str:
    """Side by side."""
    lines = [button(f"EB{i}", "PS1:+") + f"wire EB{i}:NC to ML1:+\n" for i in range(count)]
    return ENDS + "".join(lines)


def ladder(pairs: int, singles: int) -> str:
    """Pairs side by side, one pair behind the other, and single ones behind those."""
    lines, last = [ENDS], "PS1:+"
    for i in range(pairs):
        lines += [button(f"EA{i}", last), button(f"EB{i}", last), f"wire EA{i}:NC to EB{i}:NC\n"]
        last = f"EB{i}:NC"
    for i in range(singles):
        lines.append(button(f"EC{i}", last))
        last = f"EC{i}:NC"
    return "".join([*lines, f"wire {last} to ML1:+\n"])


def button(name: str, start: str) -> str:
    """One button, its common wired."""
    return f"exit-button {name} {{ holds 30 s }}\nwire {start} to {name}:COM\n"
