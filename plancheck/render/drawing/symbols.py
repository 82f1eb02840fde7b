"""Symbols after IEC 60617 (from memory), upright around their middle, their `a` end above: paths as SVG.

A contact has two drawings, made and open; the sheet shows one of them.
"""

from __future__ import annotations

from plancheck.plan.graph import Branch

LEAD = "lead"
"""The sign of what is metal alone."""

SIGNS: dict[str, str] = {
    "dc source": '<circle r="6.2"/><path d="M0-6.2V6.2" class="thin"/><path d="M-5.5-9h4M-3.5-11v4" class="thin"/>',
    "ac source": '<circle r="6.2"/><path d="M-4 0q2-4 4 0t4 0" class="thin"/>',
    "cells": '<path d="M-7-4H7M-3.5-1H3.5M-7 2H7M-3.5 5H3.5"/><path d="M0-7v3M0 5v2"/>',
    "coil": '<rect x="-7" y="-5" width="14" height="10"/><path d="M0-7v2M0 5v2"/>',
    "electronics": '<rect x="-7" y="-6" width="14" height="12"/><path d="M-4 2.5H-1V-2.5H2V2.5H4" class="thin"/>',
    "ohmic": '<rect x="-3" y="-6" width="6" height="12"/>',
    "one-way": '<path d="M-5-4H5L0 4Z"/><path d="M-5 4H5M0-7v3M0 4v3"/>',
    "clamp": '<rect x="-3" y="-6" width="6" height="12"/><path d="M-6 7L6-7" class="thin"/>',
    "fuse": '<rect x="-3" y="-6.5" width="6" height="13"/><path d="M0-7V7" class="thin"/>',
    "breaker": '<path d="M0-7v3M0 7v-2L-5-4M-2-6l4 4M2-6l-4 4"/>',
    "ptc": '<rect x="-3" y="-6" width="6" height="12"/><path d="M-7 7h3L6-7" class="thin"/>',
    "input": '<path d="M0-7v3M0 4v3M-7 0h5l-2-2m2 2l-2 2"/><circle cy="-4" r="1.6"/><circle cy="4" r="1.6"/>',
    LEAD: '<path d="M0-7V7"/>',
}
"""What stands in the lane, from -7 to 7; leads end there."""

CONTACT = '<path class="made" d="M0-7V7"/><path class="open" d="M0-7v3M0 7v-2L-6-4"/>'

OPEN_SIGNS = {"breaker", "cells", "one-way", LEAD}
"""Signs that are not filled with the ground, being no closed shape."""


def sign_of(branch: Branch) -> str:
    """The symbol for a part of a device."""
    match branch.what:
        case "contact":
            return "contact"
        case "source":
            if branch.data.get("form") == "ac":
                return "ac source"
            return "cells" if branch.number("least") is not None else "dc source"
        case "load":
            return {"electronic": "electronics", "resistive": "ohmic"}.get(branch.style, "coil")
        case "protector":
            return branch.style
        case "sense":
            return "input"
        case "link":
            return LEAD
        case what:
            return what
