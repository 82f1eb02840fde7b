"""Values: what a branch's data come to in the terms of the solver."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import NamedTuple

from plancheck.circuit.solve import Model
from plancheck.plan.graph import Branch

FORWARD_DROP = 0.7
"""Volts across a conducting one-way whose plan gives none (silicon; common practice, no source)."""

PULL_IN, DROP_OUT = 0.85, 0.05
"""Fractions of rated volts where a kind says nothing: surely in from 85 % (UL 294 test range, from memory)."""


class Study(NamedTuple):
    """Which end of each source's band, and how loads draw."""

    level: str
    model: Model


RATED = Study("volts", Model.OHMS)
RATED_AMPS = Study("volts", Model.AMPS)
LEAST = Study("least", Model.OHMS)
LEAST_AMPS = Study("least", Model.AMPS)
MOST = Study("most", Model.OHMS)
UNLOADED = Study("most", Model.UNLOADED)
STUDIES = (RATED, RATED_AMPS, LEAST, LEAST_AMPS, MOST, UNLOADED)


class Incomplete(Exception):
    """A branch lacks data without which its network cannot be solved; the message says which."""


@dataclass(frozen=True, slots=True)
class Rating:
    """A load's rated `volts` and `amps`, and the volts from which it is surely on and down to which surely off."""

    volts: float
    amps: float
    pull_in: float
    drop_out: float
    polarised: bool


def rating(load: Branch) -> Rating:
    """What a load is rated for. Incomplete where the plan does not say."""
    volts, amps, watts, ohms = (load.number(s) for s in ("volts", "amps", "watts", "ohms"))
    if volts is None and ohms:
        # A plain resistor: any volts will do to state its conductance.
        return Rating(1.0, 1.0 / ohms, math.inf, 0.0, False)
    if not volts:
        raise Incomplete(f"{load.device} states no rated voltage")
    if amps is None:
        amps = watts / volts if watts is not None else volts / ohms if ohms else None
    if amps is None:
        raise Incomplete(f"{load.device} states no rated current")
    pull_in, drop_out = load.number("pull-in"), load.number("drop-out")
    return Rating(
        volts,
        amps,
        PULL_IN * volts if pull_in is None else pull_in,
        DROP_OUT * volts if drop_out is None else drop_out,
        bool(load.data.get("polarised")),
    )


def source_limit(source: Branch) -> float:
    """The greatest current in amperes that a source gives, infinite where the plan gives none."""
    volts, amps, watts = (source.number(s) for s in ("volts", "amps", "watts"))
    if amps is None and watts is not None and volts:
        return watts / volts
    return math.inf if amps is None else amps


def part_name(branch: Branch) -> str:
    """What a branch is to frame and solver: a load by its style, a jumper a link, everything else by its primitive."""
    if branch.what == "conductor" and branch.number("ohms") == 0.0:
        return "link"
    return (branch.style or "coil") if branch.what == "load" else branch.what


def branch_values(branch: Branch, level: str) -> tuple[float, float, float]:
    """The three numbers that the solver takes for a branch, at one end of the sources' band."""
    if branch.what == "conductor":
        return branch.number("ohms") or 0.0, 0.0, 0.0
    if branch.what == "source":
        volts = branch.number("volts")
        if volts is None:
            raise Incomplete(f"{branch.device} states no output voltage")
        end = branch.number(level)
        return volts if end is None else end, source_limit(branch), 0.0
    if branch.what == "one-way":
        drop = branch.number("drop")
        return FORWARD_DROP if drop is None else drop, 0.0, 0.0
    if branch.what == "load":
        rated = rating(branch)
        draw = rated.amps * rated.volts if branch.style == "electronic" else rated.amps
        return rated.volts, draw, float(rated.polarised)
    return 0.0, 0.0, 0.0
