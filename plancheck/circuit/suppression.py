"""Suppression: what stands across a coil, how far from it, and what the coil drives through it."""

from __future__ import annotations

import heapq
import math
from typing import TYPE_CHECKING

from plancheck.circuit.coils import CLAMPED_AT, release_time, volts_into_capacitor
from plancheck.circuit.facts import NotAssessed
from plancheck.circuit.values import FORWARD_DROP
from plancheck.units import Quantity

if TYPE_CHECKING:
    from plancheck.circuit.facts import Facts
    from plancheck.plan.graph import Branch


def working_volts(facts: Facts, load: Branch) -> float:
    """The most volts that a load gets in any condition, its source at its highest. Raises NotAssessed."""
    values = [volts for _, volts in facts.greatest_volts(load).parts if volts == volts]
    if not values:
        raise NotAssessed(f"the volts of {load.device} could not be worked out")
    return max(values)


def peak_volts(facts: Facts, load: Branch) -> float:
    """Working volts; on AC, or where AC may come, the crest of the wave. Raises NotAssessed."""
    crest = 1.0 if facts.form_seen(load) in ("dc", "") else math.sqrt(2.0)
    return crest * working_volts(facts, load)


def coil_ohms(facts: Facts, coil: Branch) -> float:
    """Resistance of a coil by its rated volts and amperes. Raises NotAssessed."""
    volts, amps = facts.rating_volts(coil), facts.rating_amps(coil)
    ohms = volts / amps if amps > 0 else 0.0
    if not 0.0 < ohms < math.inf:
        raise NotAssessed(f"{coil.device} is rated {volts:g} V and {amps:g} A, by which no coil can be reckoned")
    return ohms


def coil_amps(facts: Facts, coil: Branch) -> float:
    """The most current of a coil, at its peak volts, as a resistance. Raises NotAssessed.

    A contact may open at the crest of the wave: what is stored then counts.
    """
    return peak_volts(facts, coil) / coil_ohms(facts, coil)


def coils_alongside(facts: Facts, coil: Branch) -> list[Branch]:
    """Coils that wire alone joins to both ends of a coil, itself among them, in plan order."""
    return [load for load in facts.touch.alongside(coil) if load.style == "coil"]


def suppressors_alongside(facts: Facts, coil: Branch) -> int:
    """How many suppressors act on a coil or on those alongside, built-in ones among them."""
    built_in = sum(bool(each.data.get("suppressed")) for each in coils_alongside(facts, coil))
    return len(facts.across(coil)) + built_in


def amps_through(facts: Facts, coil: Branch) -> float:
    """What each suppressor across a coil must carry on: the currents of coils alongside that have none built in."""
    bare = [each for each in coils_alongside(facts, coil) if not each.data.get("suppressed")]
    return sum(coil_amps(facts, each) for each in bare) / max(1, len(facts.across(coil)))


def release_delay(facts: Facts, coil: Branch) -> float | None:
    """Seconds by which a plain diode across a coil keeps it in; None without one, or without an inductance."""
    henry, drop_out = coil.number("inductance"), coil.number("drop-out")
    drops = [u.number("drop") for u in facts.across(coil) if u.what == "one-way"]
    if not drops or henry is None or drop_out is None:
        return None
    ohms = coil_ohms(facts, coil)
    against = min(FORWARD_DROP if drop is None else drop for drop in drops)
    return release_time(henry, ohms, coil_amps(facts, coil), drop_out / ohms, against)


def clamping_volts(suppressor: Branch) -> float | None:
    """Volts at which a clamp holds a surge, as stated or reckoned from its rating; None for what does not clamp."""
    stated, rated = suppressor.number("clamping"), suppressor.number("volts")
    if suppressor.what != "clamp" or suppressor.data.get("stores"):
        return None
    return stated if stated is not None else None if rated is None else CLAMPED_AT * rated


def volts_left(facts: Facts, coil: Branch) -> float | None:
    """The most volts that a coil drives past its suppressors when its current is broken; None where nobody can say."""
    found = [v for v in (_volts_past(facts, coil, u) for u in facts.across(coil)) if v is not None]
    return min(found) if found else None


def _volts_past(facts: Facts, coil: Branch, suppressor: Branch) -> float | None:
    if suppressor.what == "one-way":
        drop = suppressor.number("drop")
        return FORWARD_DROP if drop is None else drop
    if not suppressor.data.get("stores"):
        return clamping_volts(suppressor)
    henry, farad = coil.number("inductance"), suppressor.number("farads")
    if henry is None or not farad:
        return None
    ohms = suppressor.number("ohms") or 0.0
    return volts_into_capacitor(peak_volts(facts, coil), henry, coil_amps(facts, coil), farad, ohms)


# --- how far from the coil ---------------------------------------------------------------------------------


def run_to_suppressor(facts: Facts, coil: Branch) -> float | None:
    """Metres of wire between a coil and the nearest suppressor across it, one way; None where there is none.

    Of the two legs the longer counts. Raises NotAssessed where a length on the way is not stated.
    """
    runs = [_legs(facts, coil, suppressor) for suppressor in facts.across(coil)]
    if not runs:
        return None
    if min(runs) == math.inf:
        raise NotAssessed(f"a wire between {coil.device} and its suppressor states no length")
    return min(runs)


def _legs(facts: Facts, coil: Branch, suppressor: Branch) -> float:
    nets = {facts.graph.net(end): end for end in (suppressor.a, suppressor.b)}
    return max(_metres(facts, end, nets[facts.graph.net(end)]) for end in (coil.a, coil.b))


def _metres(facts: Facts, start: str, goal: str) -> float:
    """Metres of wire along the shortest way between two terminals of a net; infinite where a length is wanting."""
    done: set[str] = set()
    queue = [(0.0, start)]
    while queue:
        metres, terminal = heapq.heappop(queue)
        if terminal == goal:
            return metres
        if terminal in done:
            continue
        done.add(terminal)
        for branch in facts.graph.at[terminal]:
            length = _length(facts, branch)
            if length < math.inf:
                heapq.heappush(queue, (metres + length, branch.b if branch.a == terminal else branch.a))
    return math.inf


def _length(facts: Facts, branch: Branch) -> float:
    """Metres of a wire; a jumper and a link have none, and what is no wire leads nowhere."""
    if branch.what == "link":
        return 0.0
    if branch.wire is None:
        return math.inf
    cable = facts.plan.devices.get(branch.wire.cable)
    value = branch.wire.values.get("length", cable.get("length") if cable else None)
    return value.value if isinstance(value, Quantity) else math.inf if cable else 0.0
