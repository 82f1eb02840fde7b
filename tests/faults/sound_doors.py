"""Sound doors put together from parts: each egress class on the supplies, alarm wirings and jurisdictions that suit."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import product
from typing import NamedTuple

CLAUSES = {
    ("us", "sensor release"): "IBC 2021, 1010.2.12",
    ("us", "hardware release"): "IBC 2021, 1010.2.11",
    ("us", "delayed"): "IBC 2021, 1010.2.13",
    ("us", "controlled"): "IBC 2021, 1010.2.14",
    ("us", "elevator lobby"): "NFPA 101-2015, 7.2.1.6.3",
    ("us", "stair re-entry"): "IBC 2021, 1010.2.7",
    ("us", "free by lever"): "IBC 2021, 1010.2.10",
    ("us", "free by panic bar"): "IBC 2021, 1010.2.10",
}
SUPPLIES = {
    "plain": ("supply PS1 { output 24 Vdc, 2 A", "PS1:+", "PS1:+"),
    "with battery": ("supply PS1 { output 24 Vdc, 2 A; battery 12 Ah; standby 4 h; charging 500 mA", "PS1:+", "PS1:+"),
    "dropped by the alarm": ("fire-trigger-supply PS1 { output 24 Vdc, 2 A", "PS1:+", "PS1:aux+"),
}
"""How a supply is declared, the pole that locks hang on, and the one that electronics hang on."""
WIRINGS = ("pulls in on alarm", "held in by the panel", "by way of a relay that is held in")
CONTACTS = "contacts 3 A at 30 Vdc; inductive 1.5 A"
BAND = "tolerates 19 Vdc to 30 Vdc"


class Choice(NamedTuple):
    """What one of these plans is made of."""

    jurisdiction: str
    supply: str
    wiring: str
    egress: str

    @property
    def name(self) -> str:
        """All of it, in words."""
        return ", ".join(self)


def choices() -> Iterator[Choice]:
    """All that go together. A supply that the alarm drops has no other alarm contact in its feed."""
    classes = ("sensor release", "hardware release", "delayed", "controlled", "elevator lobby", "stair re-entry",
               "free by lever", "free by panic bar")  # fmt: skip
    for jurisdiction, supply, egress in product(("us", "eu"), SUPPLIES, classes):
        free = egress.startswith("free") or egress == "hardware release"
        if supply == "dropped by the alarm":
            if not egress.startswith("free"):
                yield Choice(jurisdiction, supply, "none", egress)
        else:
            for wiring in ("none",) if free else WIRINGS:
                yield Choice(jurisdiction, supply, wiring, egress)


def plan(choice: Choice) -> str:
    """The text of the plan."""
    declared, pole, constant = SUPPLIES[choice.supply]
    clause = CLAUSES.get((choice.jurisdiction, choice.egress), "EN 13637")
    lines = [
        f'plan "Marram Point bird observatory, {choice.egress}"',
        'revision "A" dated 2026-10-05',
        f"jurisdiction {choice.jurisdiction}",
        "ambient 5 degC to 35 degC",
        declared + ("; class 2 }" if choice.jurisdiction == "us" else " }"),
        "fuse F1 { rated 1 A }",
        "fuse F2 { rated 500 mA }",
        "cable C1 { conductors 4 of 18 AWG; length 60 ft; colours red, black, white, green }",
    ]
    lines += _alarm(choice, pole, constant)
    return "\n".join([*lines, *_DOORS[choice.egress](clause), *_electronics(choice, constant)]) + "\n"


def _alarm(choice: Choice, pole: str, constant: str) -> list[str]:
    """From the supply over the alarm's contact to the lock's fuse."""
    if choice.supply == "dropped by the alarm":
        trigger = [] if choice.egress.startswith(("free", "hardware")) else [
            f"fire-alarm-relay FA1 {{ {CONTACTS}; latches until reset }}",
            "wire PS1:trigger to FA1:COM",
            "wire FA1:NC to PS1:trigger-com",
        ]  # fmt: skip
        return [*(trigger or ["wire PS1:trigger to PS1:trigger-com"]), f"wire {pole} to F1:1"]
    match choice.wiring:
        case "pulls in on alarm":
            relay, throw = f"fire-alarm-relay FA1 {{ {CONTACTS}; latches until reset }}", "NC"
        case "held in by the panel":
            relay, throw = f"fire-alarm-relay FA1 {{ held in; {CONTACTS}; latches until reset }}", "NO"
        case "by way of a relay that is held in":
            return [
                f"fire-alarm-relay FA1 {{ held in; {CONTACTS}; latches until reset }}",
                f"relay K1 {{ coil 24 Vdc, 20 mA; {BAND}; {CONTACTS}; suppression built in }}",
                f"wire {pole} to F1:1",
                "wire F1:2 to FA1:COM to K1:COM",
                "wire FA1:NO to K1:A1",
                "wire K1:A2 to PS1:-",
            ]
        case _:
            return [f"wire {pole} to F1:1"]
    return [relay, f"wire {pole} to FA1:COM", f"wire FA1:{throw} to F1:1"]


def _feed(choice: Choice) -> str:
    return "K1:NO" if choice.wiring == "by way of a relay that is held in" else "F1:2"


def _electronics(choice: Choice, constant: str) -> list[str]:
    """The lock's run, and power for the electronics at the door."""
    device = "XS1" if choice.egress == "sensor release" else "RD1"
    first = {"sensor release": "EB1:COM", "hardware release": "RD1:COM", "delayed": "RD1:COM", "controlled": "KS1:COM",
             "elevator lobby": "ER1:COM1", "stair re-entry": "KS1:COM"}.get(choice.egress, "RD1:COM")  # fmt: skip
    return [
        f"wire {_feed(choice)} to {first} in C1/red",
        "wire L1:- to PS1:- in C1/black",
        f"wire {constant} to F2:1",
        f"wire F2:2 to {device}:power+ in C1/white",
        f"wire {device}:power- to PS1:- in C1/green",
    ]


def _door(egress: str, clause: str, rest: str) -> str:
    return f'door D1 {{ egress {egress}; claimed under "{clause}"; locks L1; {rest} }}'


DELAYED = (
    "on exit path; hardware BS1; reader RD1; starts at 15 lbf within 1 s; sounds when started; re-armed by hand; "
    'sign "PUSH UNTIL ALARM SOUNDS. DOOR CAN BE OPENED IN 15 SECONDS"; emergency light; occupants 30'
)
READER = f"reader RD1 {{ rated 24 Vdc, 80 mA; {BAND}; {CONTACTS}; holds 5 s }}"
MAGNET = f"magnetic-lock L1 {{ rated 24 Vdc, 250 mA; {BAND}; drop-out 6 V; suppression built in }}"


def _sensor_release(clause: str) -> list[str]:
    return [
        f"exit-sensor XS1 {{ rated 24 Vdc, 35 mA; {BAND}; {CONTACTS}; holds 5 s }}",
        f"exit-button EB1 {{ holds 30 s; {CONTACTS}; mounted 44 in above floor, 40 in from door; "
        'marked "PUSH TO EXIT" }',
        MAGNET,
        _door("sensor release", clause, "on exit path; sensor XS1; button EB1; occupants 30"),
        "wire EB1:NC to XS1:COM",
        "wire XS1:NO to L1:+",
    ]


def _hardware_release(clause: str) -> list[str]:
    return [
        f"bar-switch BS1 {{ {CONTACTS}; mounted 40 in above floor }}",
        READER,
        MAGNET,
        _door("hardware release", clause, "on exit path; hardware BS1; reader RD1; occupants 30"),
        "wire RD1:NC to BS1:COM",
        "wire BS1:NC to L1:+",
    ]


def _delayed(clause: str) -> list[str]:
    return [
        f"bar-switch BS1 {{ {CONTACTS}; mounted 40 in above floor }}",
        READER,
        MAGNET,
        _door("delayed 15 s", clause, DELAYED),
        "wire BS1:COM to RD1:input-com",
        "wire BS1:NO to RD1:request",
        "wire RD1:NC to L1:+",
    ]


def _controlled(clause: str) -> list[str]:
    return [
        f'key-switch KS1 "At the staffed desk" {{ {CONTACTS} }}',
        READER,
        MAGNET,
        _door("controlled", clause, "on exit path; staff release KS1; reader RD1; occupants 12"),
        "wire KS1:NC to RD1:COM",
        "wire RD1:NC to L1:+",
    ]


def _elevator_lobby(clause: str) -> list[str]:
    return [
        f"emergency-release ER1 {{ worked by break-glass; {CONTACTS}; mounted 44 in above floor, 30 in from door }}",
        READER,
        MAGNET,
        f'door D1 {{ on exit path; egress elevator lobby; claimed under "{clause}"; locks L1; release ER1; reader RD1; '
        "two-way communication; occupants 12 }",
        "wire ER1:NC1 to RD1:COM",
        "wire RD1:NC to L1:+",
    ]


def _stair_re_entry(clause: str) -> list[str]:
    return [
        f'key-switch KS1 "At the staffed desk" {{ {CONTACTS} }}',
        READER,
        f"electrified-lockset L1 {{ rated 24 Vdc, 300 mA; {BAND}; fails safe; suppression built in }}",
        f'door D1 {{ stair; egress stair re-entry; claimed under "{clause}"; locks L1; staff release KS1; reader RD1; '
        "fire rated 90 min; occupants 30 }",
        "wire KS1:NC to RD1:COM",
        "wire RD1:NC to L1:+",
    ]


def _free_by_lever(clause: str) -> list[str]:
    return [
        READER,
        f"electric-strike L1 {{ rated 24 Vdc, 225 mA; {BAND}; fails secure; suppression built in }}",
        _door("free by lever", clause, "interior; reader RD1; latched by its own hardware; occupants 8"),
        "wire RD1:NO to L1:+",
    ]


def _free_by_panic_bar(clause: str) -> list[str]:
    return [
        READER,
        f"electrified-latch L1 {{ rated 24 Vdc, 400 mA; {BAND}; driven by motor; suppression built in }}",
        _door("free by panic bar", clause, "entrance; on exit path; reader RD1; occupants 60"),
        "wire RD1:NO to L1:+",
    ]


_DOORS = {
    "sensor release": _sensor_release,
    "hardware release": _hardware_release,
    "delayed": _delayed,
    "controlled": _controlled,
    "elevator lobby": _elevator_lobby,
    "stair re-entry": _stair_re_entry,
    "free by lever": _free_by_lever,
    "free by panic bar": _free_by_panic_bar,
}
