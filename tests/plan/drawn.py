"""Small kinds made up for these tests, and plans drawn with them."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache

from plancheck.finding import Mistake
from plancheck.plan.kinds import Kinds, load_kinds
from plancheck.plan.model import Plan
from plancheck.plan.resolve import resolve
from plancheck.source import Source

KINDS = """
kind feed "Puts volts on its terminals" {
    terminals + -
    needs     output <output-volts: voltage>, <output-amps: current>
    may have  store <store-charge: charge>
    may have  float <float-volts: voltage>
    may have  earthed
    signal    mains "mains of {name}" role mains rests on
    signal    store "store of {name}" role reserve rests on if store-charge
    source    main + - alive when mains { volts output-volts; amps output-amps; earthed earthed } unless store-charge
    source    main + - alive when mains {
        volts output-volts; most float-volts or 113.75 %; amps output-amps
    } if store-charge
    source    spare + - alive when store and not mains { volts output-volts; least 87.5 % } if store-charge
}
kind magnet "Holds while powered" is a lock {
    terminals + -
    needs     rated <rated-volts: voltage>, <rated-amps: current>
    needs     rated <rated-volts: voltage>, <rated-watts: power>
    may have  tolerates <least-volts: voltage> to <most-volts: voltage>
    may have  drop-out <drop-out-volts: voltage>
    may have  suppression built in
    may have  mounted <height: length> above floor [, <distance: length> from door]
    always    keeps-latch no
    always    holds-by magnet
    load      coil + - coil {
        volts rated-volts
        amps rated-amps; watts rated-watts
        drop-out drop-out-volts or 25 %
        suppressed suppression-built-in
    }
    state     secured when coil energised
}
kind keeper is a lock {
    terminals + -
    needs     rated <rated-volts: voltage>, <rated-amps: current>
    needs     fails <fails: safe | secure>
    load      coil + - coil { volts rated-volts; amps rated-amps }
    state     secured when not coil energised if fails is secure
    state     secured when coil energised     if fails is safe
}
kind board "A contact for each channel" {
    terminals power+ power-
    needs     channels <channels: count>
    may have  many channel <n: count> <mode: momentary | timed | latched> [<hold: time>]
    may have  contacts <contact-amps: current> at <contact-volts: voltage>
    load      electronics power+ power- electronic { polarised yes }
    repeat channels {
        spare    COM# NC# NO#
        signal   ch# "channel # of {name}" role command
        contact  COM# NO# made when electronics powered and ch# electronic { amps contact-amps; volts contact-volts }
        contact  COM# NC# made when not ch# or not electronics powered { amps contact-amps }
    }
}
kind sender {
    needs     buttons <buttons: count>
    may have  many button <n: count> works <channel: signal>
    may have  beside <terminal: terminal>
}
kind alarm-contact {
    terminals COM
    spare     NC NO
    signal    alarm "fire alarm on" role alarm shared
    contact   COM NC made when not alarm
    contact   COM NO made when alarm
}
kind input-board {
    terminals COM
    needs     inputs <inputs: count>
    repeat inputs {
        terminals IN#
        sense     in# IN# COM { safety yes; commands stop; wants open }
    }
    state     told when in1 made or in2 made
}
kind door is a door {
    may have  <place: on exit path | interior | stair>
    may have  egress <egress: free by lever | sensor release | delayed> [<delay: time>]
    may have  claimed under <clause: text>
    may have  locks <locks: lock...>
    may have  sensor <sensor: device...>
    may have  tags <tags: name...>
    may have  surveyed <surveyed: date>
    may have  angle <angle: number>
    may have  share <share: ratio>
    may have  outside <outside: temperature>
}
kind cable is a cable {
    needs     conductors <conductors: count> of <area: area>
    needs     length <length: length>
}
kind wire is a wire {
    may have  size <area: area>
    may have  length <length: length>
}
"""


@cache
def kinds() -> Kinds:
    """The kinds above."""
    table, mistakes = load_kinds([Source("kinds.plan", KINDS)])
    assert mistakes == []
    return table


def draw(text: str, files: Mapping[str, str] | None = None) -> tuple[Plan, list[Mistake]]:
    """The plan of a text, and its mistakes; `files` are what it may use."""
    sources = {name: Source(name, inside) for name, inside in (files or {}).items()}
    return resolve(Source("top.plan", text), kinds(), lambda wanted, by: sources.get(wanted, "no such file"))


def sound(text: str, files: Mapping[str, str] | None = None) -> Plan:
    """The plan of a text that has no mistakes."""
    plan, mistakes = draw(text, files)
    assert mistakes == []
    return plan
