"""A generated plan of many doors, every one written out: no typicals, no two cable lengths alike.

Four classes of door take turns: free by lever, sensor release, hardware release, stair re-entry. Twenty doors
share a supply without a battery (what must let go) and one with a battery (what may stay locked). The plan is
sound: a review of it finds nothing.
"""

from __future__ import annotations

from collections.abc import Callable

DOORS_PER_SUPPLY = 20

HEADER = """\
plan "Generated building of {count} doors"
revision "A" dated 2026-03-02
jurisdiction us
ambient 0 degC to 40 degC
"""

SUPPLY = 'supply PS{n} "24 V for what lets go" {{ output 24 Vdc, 8 A }}\n'
BACKED_SUPPLY = 'supply PB{n} "24 V for what stays locked" {{ output 24 Vdc, 4 A; battery 26 Ah; standby 4 h }}\n'

FREE_BY_LEVER = """
door {d} "Store {i}" {{ interior; egress free by lever; locks {d}-ES; occupants 4 }}
electric-strike {d}-ES {{ rated 24 Vdc, 225 mA; fails secure; suppression built in; \
tolerates 20 Vdc to 28 Vdc }}
radio-receiver {d}-RX {{ channels 1; channel 1 momentary; rated 24 Vdc, 45 mA; \
tolerates 12 Vdc to 28 Vdc; contacts 5 A at 30 Vdc; inductive 2 A; band 433.92 MHz; \
own antenna link closed }}
transmitter {d}-TX {{ buttons 1; button 1 works {d}-RX:ch1; band 433.92 MHz }}
fuse {d}-F {{ rated 1 A }}
cable {d}-C {{ conductors 2 of 18 AWG; length {feet:.2f} ft }}
wire PB{n}:+ to {d}-F:1
wire {d}-F:2 to {d}-RX:power+ to {d}-RX:COM
wire {d}-RX:NO to {d}-ES:+ in {d}-C/red
wire {d}-ES:- to PB{n}:- in {d}-C/black
wire {d}-RX:power- to PB{n}:-
"""

SENSOR_RELEASE = """
door {d} "Exit {i}" {{ on exit path; egress sensor release; claimed under "IBC 2021, 1010.2.12"; \
locks {d}-ML; sensor {d}-XS; button {d}-EB; occupants 60 }}
magnetic-lock {d}-ML {{ rated 24 Vdc, 250 mA; suppression built in }}
fire-alarm-relay {d}-FA {{ held in; latches until reset; contacts 2 A at 30 Vdc; inductive 1 A }}
exit-sensor {d}-XS {{ rated 24 Vdc, 35 mA; holds 30 s; contacts 1 A at 30 Vdc; inductive 0.5 A }}
exit-button {d}-EB {{ holds 30 s; mounted 44 in above floor, 40 in from door; marked "PUSH TO EXIT"; \
contacts 5 A at 30 Vdc; inductive 2 A }}
fuse {d}-F {{ rated 1 A }}
cable {d}-C {{ conductors 4 of 18 AWG; length {feet:.2f} ft }}
wire PS{n}:+ to {d}-F:1
wire {d}-F:2 to {d}-FA:COM
wire {d}-FA:NO to {d}-EB:COM in {d}-C/red
wire {d}-EB:NC to {d}-XS:COM
wire {d}-XS:NO to {d}-ML:+
wire {d}-ML:- to PS{n}:- in {d}-C/black
wire {d}-F:2 to {d}-XS:power+ in {d}-C/green
wire {d}-XS:power- to PS{n}:- in {d}-C/white
"""

HARDWARE_RELEASE = """
door {d} "Ward {i}" {{ on exit path; egress hardware release; claimed under "IBC 2021, 1010.2.11"; \
locks {d}-ML; hardware {d}-BS; reader {d}-RD; occupants 30 }}
magnetic-lock {d}-ML {{ rated 24 Vdc, 300 mA; suppression built in }}
bar-switch {d}-BS {{ contacts 3 A at 30 Vdc; inductive 1.5 A; mounted 40 in above floor }}
reader {d}-RD {{ rated 24 Vdc, 80 mA; holds 5 s; contacts 2 A at 30 Vdc; inductive 1 A }}
fire-alarm-relay {d}-FA {{ held in; latches until reset; contacts 2 A at 30 Vdc; inductive 1 A }}
fuse {d}-F {{ rated 1 A }}
cable {d}-C {{ conductors 4 of 18 AWG; length {feet:.2f} ft }}
wire PS{n}:+ to {d}-F:1
wire {d}-F:2 to {d}-FA:COM
wire {d}-FA:NO to {d}-RD:COM in {d}-C/red
wire {d}-RD:NC to {d}-BS:COM
wire {d}-BS:NC to {d}-ML:+
wire {d}-ML:- to PS{n}:- in {d}-C/black
wire {d}-F:2 to {d}-RD:power+ in {d}-C/green
wire {d}-RD:power- to PS{n}:- in {d}-C/white
"""

STAIR = """
door {d} "Stair {i}" {{ stair; egress stair re-entry; claimed under "IBC 2021, 1010.2.7"; locks {d}-EL; \
fire rated 90 min; latched by its own hardware }}
electrified-lockset {d}-EL {{ rated 24 Vdc, 150 mA; fails safe; suppression built in }}
fire-alarm-relay {d}-FA {{ held in; latches until reset; contacts 2 A at 30 Vdc; inductive 1 A }}
key-switch {d}-KS {{ action maintained; contacts 3 A at 30 Vdc; inductive 1.5 A; \
mounted 44 in above floor }}
fuse {d}-F {{ rated 1 A }}
cable {d}-C {{ conductors 2 of 18 AWG; length {feet:.2f} ft }}
wire PS{n}:+ to {d}-F:1
wire {d}-F:2 to {d}-FA:COM
wire {d}-FA:NO to {d}-KS:COM
wire {d}-KS:NC to {d}-EL:+ in {d}-C/red
wire {d}-EL:- to PS{n}:- in {d}-C/black
"""

CLASSES = (FREE_BY_LEVER, SENSOR_RELEASE, HARDWARE_RELEASE, STAIR)


def door(number: int, to_a_supply: int = DOORS_PER_SUPPLY) -> str:
    """The text of one door and all that hangs on it, counted from 1."""
    form: Callable[..., str] = CLASSES[number % len(CLASSES)].format
    return form(
        d=f"D{number:05}", i=number, n=supply_of(number, to_a_supply), feet=30.0 + 0.07 * (number % 997) + number * 1e-4
    )


def supply_of(number: int, to_a_supply: int = DOORS_PER_SUPPLY) -> int:
    """Which pair of supplies feeds a door."""
    return (number - 1) // to_a_supply + 1


def building(count: int, to_a_supply: int = DOORS_PER_SUPPLY) -> str:
    """The whole plan: a header, the supplies that its doors need, the doors."""
    numbers = range(1, count + 1)
    supplies = {
        (supply_of(number, to_a_supply), BACKED_SUPPLY if CLASSES[number % len(CLASSES)] is FREE_BY_LEVER else SUPPLY)
        for number in numbers
    }
    declared = [form.format(n=n) for n, form in sorted(supplies)]
    return HEADER.format(count=count) + "".join([*declared, *(door(number, to_a_supply) for number in numbers)])
