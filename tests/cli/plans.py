"""Small plans and a rule for the command to work on."""

from __future__ import annotations

SOUND = """\
plan "Kestrel Wharf boat school, tool room"
revision "A" dated 2026-11-02
jurisdiction us
ambient 5 degC to 35 degC
supply PS1 { output 24 Vdc, 1 A; class 2 }
push-button SB1 { contacts 3 A at 30 Vdc }
electric-strike ES1 { rated 24 Vdc, 225 mA; fails secure; suppression built in }
wire PS1:+ to SB1:COM
wire SB1:NO to ES1:+
wire ES1:- to PS1:- { size 18 AWG; length 5 m }
door D9 "Tool room" { interior; egress free by lever; locks ES1 }
"""

FAULTY = (
    SOUND
    + """\
exit-sensor XS1 { rated 24 Vdc, 35 mA; contacts 1 A at 30 Vdc }
wire PS1:+ to XS1:power-
wire PS1:- to XS1:power+
"""
)
"""A sensor with plus and minus exchanged: an error."""

NOTED = SOUND.replace("output 24 Vdc, 1 A; class 2", "output 24 Vdc, 1 A; battery 7 Ah; standby 4 h; class 2")
"""24 V float at 27.3 V on a strike that states no band of volts: a note."""

HOUSE_RULE = """\
pack house "House rules"
rule no-buttons {
    title     "No push-buttons"
    severity  error
    basis     "house rule" grade common practice
    known limits "None."
    for each  device B
    where     B.kind is push-button
    require   no
    found     "{B} is a push-button"
    required  "none"
    remedy    "Take it out."
    passes "none" {
        supply PS1 { output 24 Vdc, 1 A }
    }
    fails "one" {
        push-button SB1 { contacts 3 A at 30 Vdc }
    }
}
"""
