"""Mistakes at coils: what quenches them, where it sits, and which way round."""

from __future__ import annotations

from collections.abc import Iterator

from plancheck.plan.model import Device, Primitive
from tests.faults.behind import fed, rated
from tests.faults.draft import Draft, Part, spare_name
from tests.faults.fault import Collection, Mutant, mutant
from tests.faults.standing import Standing

COILS = Collection()
SUPPRESSORS = ("diode", "clamp", "snubber")
UNSWITCHED = "no contact switches this coil"


def _coils(plan: Standing) -> Iterator[tuple[Device, Primitive]]:
    """Coils that a source feeds."""
    for device, load in fed(plan).values():
        if load.style == "coil":
            yield device, load


def _on_ac(plan: Standing, device: Device, load: Primitive) -> bool:
    source = plan.source_of(f"{device.name}:{load.a}")
    return source is not None and source[0].kind == "transformer"


def _suppressors(plan: Standing, device: Device, load: Primitive) -> list[Part]:
    """Suppressors that wire alone joins to both ends of a coil."""
    ends = {plan.net(f"{device.name}:{load.a}"), plan.net(f"{device.name}:{load.b}")}
    found = []
    for part in plan.draft.of_kind(*SUPPRESSORS):
        terminals = ("anode", "cathode") if part.kind == "diode" else ("1", "2")
        if {plan.net(f"{part.name}:{t}") for t in terminals} == ends:
            found.append(part)
    return found


def _bare(plan: Standing, device: Device, load: Primitive) -> Draft:
    """The plan with nothing that quenches a coil."""
    draft = plan.draft.saying(device.name, "suppression")
    for part in _suppressors(plan, device, load):
        draft = draft.without_part(part.name)
    return draft


def _with_diode(draft: Draft, plus: str, minus: str, *entries: str, reversed_: bool = False) -> Draft:
    name = spare_name(draft, "DX")
    draft = draft.with_part("diode", name, *(entries or ("rated 400 V, 1 A",)))
    anode, cathode = (plus, minus) if reversed_ else (minus, plus)
    return draft.with_run(f"{name}:cathode", cathode).with_run(f"{name}:anode", anode)


def _ends(device: Device, load: Primitive) -> tuple[str, str]:
    return f"{device.name}:{load.a}", f"{device.name}:{load.b}"


@COILS.fault("nothing that quenches a switched coil", "electrical/coil-suppression")
def _no_suppression(plan: Standing) -> Iterator[Mutant]:
    for device, load in _coils(plan):
        switched = any(part.what == "contact" for end in _ends(device, load) for _, part in plan.way(end))
        yield mutant(_bare(plan, device, load), device.name, harmless="" if switched else UNSWITCHED)


@COILS.fault("diode the wrong way round: a short as soon as the coil is fed", "electrical/suppression-polarity")
def _diode_reversed(plan: Standing) -> Iterator[Mutant]:
    for device, load in _coils(plan):
        if not _on_ac(plan, device, load):
            draft = _with_diode(_bare(plan, device, load), *_ends(device, load), reversed_=True)
            yield mutant(draft, device.name, draft.parts[-1].name)


@COILS.fault("diode across a coil on AC", "electrical/suppression-suits-ac-or-dc")
def _diode_on_ac(plan: Standing) -> Iterator[Mutant]:
    for device, load in _coils(plan):
        if _on_ac(plan, device, load):
            draft = _with_diode(_bare(plan, device, load), *_ends(device, load))
            yield mutant(draft, device.name, draft.parts[-1].name)


@COILS.fault("plain diode across a magnet, which then hangs on", "electrical/suppression-suits-magnet")
def _diode_on_a_magnet(plan: Standing) -> Iterator[Mutant]:
    for device, load in _coils(plan):
        if device.kind == "magnetic-lock":
            draft = _with_diode(_bare(plan, device, load), *_ends(device, load))
            yield mutant(draft, device.name, draft.parts[-1].name)


@COILS.fault(
    "suppressor at the panel's end of a long run",
    "electrical/suppression-at-the-coil",
    "electrical/coil-suppression",
)
def _suppressor_at_the_panel(plan: Standing) -> Iterator[Mutant]:
    for device, load in _coils(plan):
        plus, minus = _ends(device, load)
        if device.base != "lock" or _on_ac(plan, device, load):
            continue
        # The run that brings each end through a cable: its far terminal is the panel's.
        far = [_far_end(plan, plus), _far_end(plan, minus)]
        if all(far):
            draft = _bare(plan, device, load)
            name = spare_name(draft, "MV")
            draft = draft.with_part("clamp", name, "rated 38 Vdc")
            for run in plan.draft.runs:
                if run.cable and (plus in run.ends or minus in run.ends):
                    draft = draft.saying(run.cable, "length", "length 200 ft")
            draft = draft.with_run(f"{name}:1", far[0]).with_run(f"{name}:2", far[1])
            yield mutant(draft, device.name, name)


def _far_end(plan: Standing, terminal: str) -> str:
    """The other end of the cable's conductor that reaches a terminal, or nothing."""
    for run in plan.draft.touching(terminal):
        if run.conductor:
            at = run.ends.index(terminal)
            return run.ends[0] if at else run.ends[-1]
    return ""


@COILS.fault("two suppressors on one coil", "electrical/suppression-twice")
def _suppressed_twice(plan: Standing) -> Iterator[Mutant]:
    for device, load in _coils(plan):
        has = plan.draft.by_name[device.name].says("suppression") or _suppressors(plan, device, load)
        if has and not _on_ac(plan, device, load):
            name = spare_name(plan.draft, "MV")
            draft = plan.draft.with_part("clamp", name, "rated 38 Vdc")
            plus, minus = _ends(device, load)
            draft = draft.with_run(f"{name}:1", plus).with_run(f"{name}:2", minus)
            yield mutant(draft, device.name, name)


@COILS.fault("diode too small for the coil's current", "electrical/diode-too-small")
def _diode_too_small(plan: Standing) -> Iterator[Mutant]:
    for device, load in _coils(plan):
        if device.kind not in ("magnetic-lock", "relay") and not _on_ac(plan, device, load):
            amps = rated(load)[1]
            entries = (f"rated 30 V, {amps * 200:.0f} mA",)
            draft = _with_diode(_bare(plan, device, load), *_ends(device, load), *entries)
            yield mutant(draft, device.name, draft.parts[-1].name)


@COILS.fault("diode that keeps a coil of much inductance in for long", "electrical/release-delay-by-diode")
def _slow_release(plan: Standing) -> Iterator[Mutant]:
    for device, load in _coils(plan):
        if device.kind in ("electric-strike", "relay", "electrified-lockset") and not _on_ac(plan, device, load):
            volts, amps = rated(load)
            # L/R of one second: with a drop-out at a tenth it lets go after ln 10 = 2.3 s.
            draft = _bare(plan, device, load).saying(device.name, "inductance")
            draft = draft.saying(device.name, "drop-out", f"drop-out {volts / 10:g} V")
            draft = draft.saying(device.name, "inductance", f"inductance {volts / amps * 1000:.0f} mH")
            draft = _with_diode(draft, *_ends(device, load))
            yield mutant(draft, device.name, draft.parts[-1].name)
