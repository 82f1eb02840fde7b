"""A fault of plancheck's own, told as one: it must never look like a plan in order."""

from __future__ import annotations

import os

from plancheck.finding import Mistake
from plancheck.source import Source, Span


def own_fault(source: Source, fault: Exception) -> Mistake:
    """A fault of ours, told as one, with the place where it happened."""
    return Mistake(
        Span(source, 0, 0),
        f"plancheck itself failed on “{source.name}”: nothing in it was assessed",
        found=where_raised(fault),
        hint="This is a fault of plancheck, not of the plan. Report it with the plan.",
    )


def cut_short(source: Source, why: str) -> Mistake:
    """A review that was not brought to its end: what was at work on it has died, or gave back nothing."""
    return Mistake(
        Span(source, 0, 0),
        f"The review of “{source.name}” was cut short: nothing in it was assessed",
        found=why,
        hint="Where memory ran out, ask for fewer --processes. Else this is a fault of plancheck, not of the plan: "
        "report it with the plan.",
    )


def where_raised(fault: Exception) -> str:
    """What an exception is and the module and line where it was raised, for whoever has to mend it."""
    trace = fault.__traceback__
    where = ""
    while trace is not None:
        folder, file = os.path.split(trace.tb_frame.f_code.co_filename)
        where = f" at {os.path.basename(folder)}/{file}:{trace.tb_lineno}"
        trace = trace.tb_next
    return f"{type(fault).__name__}{where}"
