"""Expressions checked and made ready to run: types, units and names, with a mistake at the node that is wrong.

Checking and preparing are one walk: what `check` returns has a type and a closure, so that no rule is ever
interpreted node by node while a plan is judged.
"""

from __future__ import annotations

import operator
from collections.abc import Callable
from typing import Any

from plancheck import units
from plancheck.circuit.conditions import Levels
from plancheck.circuit.variation import AS_DRAWN
from plancheck.nearest import did_you_mean
from plancheck.rulebook import nodes, types
from plancheck.rulebook.claims import Claim, Unknown, both, claim, constant, either
from plancheck.rulebook.naming import label
from plancheck.rulebook.scope import DEEPEST, Checked, Frame, Run, Scope, Witness, needed
from plancheck.rulebook.types import Type
from plancheck.rulebook.vocabulary import Word

_LITERALS = {"yes": True, "no": False}


def check(node: nodes.Expression, frame: Frame) -> Checked:
    """Check an expression. Raises Wrong, the mistake noted in the frame."""
    frame.depth += 1
    if frame.depth > DEEPEST:
        raise frame.wrong(node, "This is nested too deeply", expected=f"at most {DEEPEST} levels")
    try:
        found = _dispatch(node, frame)
    finally:
        frame.depth -= 1
    return found if frame.watch is None else frame.watch.checked(node, found, frame)


def _dispatch(node: nodes.Expression, frame: Frame) -> Checked:
    from plancheck.rulebook import compare, examine, quantify

    match node:
        case nodes.Path():
            return path(node, frame)
        case nodes.Predicate():
            return _predicate(node, frame)
        case nodes.Amount():
            return amount(node, frame)
        case nodes.Text():
            return Checked(types.TEXT, False, lambda scope: node.text)
        case nodes.Compare():
            return compare.ordered(node, frame)
        case nodes.Is():
            return compare.equal(node, frame)
        case nodes.IsOneOf():
            return compare.one_of(node, frame)
        case nodes.IsGiven():
            return compare.given(node, frame)
        case nodes.Junction():
            return _junction(node, frame)
        case nodes.Not():
            return _negation(node, frame)
        case nodes.Arithmetic():
            return _arithmetic(node, frame)
        case nodes.Quantified():
            return quantify.quantified(node, frame)
        case nodes.InCondition():
            return examine.in_condition(node, frame)


def yes_no(node: nodes.Expression, frame: Frame, what: str) -> Checked:
    """Check an expression that must be yes or no."""
    checked = check(node, frame)
    if checked.type.form != "yes/no":
        hint = "Compare it: <= 5 V, is given, is one of …"
        raise frame.wrong(node, f"{what} must be yes or no", f"{checked.type}", "yes or no", hint)
    return checked


# --- names and literals ------------------------------------------------------------------------------------


def amount(node: nodes.Amount, frame: Frame) -> Checked:
    """A number with its unit."""
    of, value = literal(node, frame)
    return Checked(of, False, lambda scope: value)


def literal(node: nodes.Amount, frame: Frame) -> tuple[Type, float]:
    """Type and SI value of a number; a class counts its things: `8 locks`."""
    if not node.unit or node.unit in frame.vocabulary.plurals:
        return types.NUMBER, node.value
    try:
        read = units.quantity(node.value, node.unit, node.text)
    except KeyError:
        symbol = units.symbol_of(node.unit)
        names = [*units.UNITS, units.GAUGE, *frame.vocabulary.plurals]
        hint = f"Write “{symbol}”." if symbol else did_you_mean(node.unit, names)
        expected = "a unit of the trade, such as V, A, ft, s, %, or a class of things to count"
        raise frame.wrong(node, f"“{node.unit}” is no unit", f"“{node.text} {node.unit}”", expected, hint) from None
    return types.quantity(read.dimension), read.value


def path(node: nodes.Path, frame: Frame) -> Checked:
    """A variable, a limit, yes or no; or a fact of a variable, `L.device.fails`."""
    first, *rest = node.names
    if first.text in frame.variables:
        found = _variable(first, frame)
    elif not rest and first.text in frame.limits:
        name = first.text
        return Checked(frame.limits[name], False, lambda scope: scope.limits[name])
    elif not rest and first.text in _LITERALS:
        value = _LITERALS[first.text]
        return Checked(types.YES_NO, False, lambda scope: value)
    else:
        raise _unknown_name(first, frame)
    for each in rest:
        found = fact(found, each, frame)
    return found


def _variable(name: nodes.Name, frame: Frame) -> Checked:
    of, index = frame.variables[name.text]
    frame.touched.add(index)
    return Checked(types.thing(of), False, lambda scope: scope.things[index])


def _unknown_name(name: nodes.Name, frame: Frame) -> Exception:
    known = [*frame.variables, *frame.limits]
    expected = "a variable or a limit of this rule" + (f": {', '.join(known)}" if known else "")
    hint = did_you_mean(name.text, known) or "A variable is declared by “for each CLASS NAME”."
    return frame.wrong(name, f"Nothing here is called “{name.text}”", f"“{name.text}”", expected, hint)


def fact(of: Checked, name: nodes.Name, frame: Frame) -> Checked:
    """A fact of what `of` gives, by its name."""
    word = find_word(of, name, frame)
    if word.conditional and not frame.in_condition:
        raise frame.wrong(
            name,
            f"“{name.text}” changes with the operating condition",
            "a place where no condition is given",
            "a fact of the plan as it stands",
            "Ask for it “in every condition …:” or “in some condition …:”.",
        )
    holder, label_of = of.run, label
    missing = _missing(holder, word, label_of)
    read = word.read
    if not word.conditional:
        reader = _kept_reader(holder, read) if word.kept else _static_reader(holder, read)
        return Checked(word.type, False, reader, missing)
    truth = word.type.form == "yes/no"
    return Checked(word.type, True, _conditional_reader(holder, read, missing, truth))


def find_word(of: Checked, name: nodes.Name, frame: Frame) -> Word:
    """The vocabulary's word for a fact."""
    if of.type.form != "thing":
        hint = f"Say “some {of.type.of} T in …: …”." if of.type.form == "list" else ""
        raise frame.wrong(name, f"“{name.text}” cannot be asked of this", f"{of.type}", "a thing", hint)
    word = frame.vocabulary.find(of.type.of, name.text)
    if word is None:
        names = frame.vocabulary.names(of.type.of)
        hint = _elsewhere(of, name, frame) or did_you_mean(name.text, names)
        expected = f"one of its facts, which `plancheck rules words {of.type.of}` lists"
        said = f"{of.type} has no fact “{name.text}”"
        raise frame.wrong(name, said[:1].upper() + said[1:], f"“{name.text}”", expected, hint)
    if word.type.form == "mixed":
        raise frame.wrong(
            name, f"“{name.text}” means different things for different kinds", word.says, "a fact of one meaning"
        )
    return word


def _elsewhere(of: Checked, name: nodes.Name, frame: Frame) -> str:
    """A hint where the device of a part has the fact."""
    behind = frame.vocabulary.find(of.type.of, "device")
    if behind is not None and frame.vocabulary.find("device", name.text):
        return f"Its device has it: “….device.{name.text}”."
    return ""


def _missing(holder: Run, word: Word, label_of: Callable[[Any, Any], str]) -> Callable[[Scope], str]:
    how = f"; a plan writes: {word.written}" if word.written else ""

    def says(scope: Scope) -> str:
        thing = holder(scope)
        if thing is None:
            return f"“{word.name}” is asked of a thing that the plan does not give"
        return f"{label_of(scope.inventory, thing)} does not state “{word.name}”{how}"

    return says


def _static_reader(holder: Run, read: Callable[..., object]) -> Run:
    def run(scope: Scope) -> object:
        thing = holder(scope)
        return None if thing is None else read(scope.inventory, thing, AS_DRAWN)

    return run


def _kept_reader(holder: Run, read: Callable[..., object]) -> Run:
    """For facts that are dear to work out and that several rules ask for."""

    def run(scope: Scope) -> object:
        thing = holder(scope)
        if thing is None:
            return None
        asked = (read, id(thing), None)
        if asked not in scope.known:
            scope.known[asked] = read(scope.inventory, thing, AS_DRAWN), thing
        return scope.known[asked][0]

    return run


def _conditional_reader(holder: Run, read: Callable[..., Any], missing: Callable[[Scope], str], truth: bool) -> Run:
    def run(scope: Scope) -> Any:
        thing = holder(scope)
        if thing is None:
            raise Unknown(missing(scope))
        variation = scope.variation
        if scope.asked is not None:
            scope.asked.append(thing)
        if variation.failure is not None:  # there are thousands, and each is asked about once
            found = read(scope.inventory, thing, variation)
            return claim(found) if truth else found
        asked = (read, id(thing), None if variation is AS_DRAWN else variation)
        known = scope.known.get(asked)
        if known is None:
            found = read(scope.inventory, thing, variation)
            scope.known[asked] = known = (claim(found) if truth else found), thing
        return known[0]

    return run


def _predicate(node: nodes.Predicate, frame: Frame) -> Checked:
    found = fact(path(node.thing, frame), node.word, frame)
    if found.type.form != "yes/no":
        raise frame.wrong(
            node.word,
            f"“{node.word.text}” is no yes or no",
            f"{found.type}",
            "a fact that is yes or no",
            f"Write “{frame.text(node.thing)}.{node.word.text}”.",
        )
    return found


# --- and, or, not ------------------------------------------------------------------------------------------


def _junction(node: nodes.Junction, frame: Frame) -> Checked:
    parts = [yes_no(part, frame, f"Each side of “{node.how}”") for part in node.parts]
    stops = node.how == "or"
    static = [p for p in parts if not p.conditional]
    conditional = [p for p in parts if p.conditional]
    run_static = _static_junction([p.run for p in static], stops)
    if not conditional:
        return Checked(types.YES_NO, False, run_static, witness=_witness_of(parts, stops))
    runs = [p.run for p in conditional]
    join = either if stops else both

    def run(scope: Scope) -> Claim:
        # What no condition decides comes first: it is cheap, and it guards what stands beside it.
        decided = run_static(scope)
        if decided is stops:
            return constant(decided)
        result = constant(decided)
        for each in runs:
            result = join(result, each(scope))
            if not (result.space.everything & ~(result.yes if stops else result.no)):
                break
        return result

    return Checked(types.YES_NO, True, run)


def _static_junction(runs: list[Run], stops: bool) -> Run:
    def run(scope: Scope) -> bool | None:
        result: bool | None = not stops
        for each in runs:
            value: bool | None = each(scope)
            if value is stops:
                return stops
            if value is None:
                result = None
        return result

    return run


def _witness_of(parts: list[Checked], stops: bool) -> Callable[[Scope, bool], Witness | None] | None:
    telling = [p for p in parts if p.witness]
    if not telling:
        return None

    def witness(scope: Scope, wanted: bool) -> Witness | None:
        for part in telling:
            assert part.witness
            if part.run(scope) is not wanted and (found := part.witness(scope, wanted)):
                return found
        return None

    return witness


def _negation(node: nodes.Not, frame: Frame) -> Checked:
    inner = yes_no(node.inner, frame, "What “not” denies")
    run, shows = inner.run, inner.witness
    if inner.conditional:
        return Checked(types.YES_NO, True, lambda scope: run(scope).opposite())

    def witness(scope: Scope, wanted: bool) -> Witness | None:
        return shows(scope, not wanted) if shows else None

    def opposite(scope: Scope) -> bool | None:
        value: bool | None = run(scope)
        return None if value is None else not value

    return Checked(types.YES_NO, False, opposite, witness=witness if shows else None)


# --- arithmetic --------------------------------------------------------------------------------------------

_SUMS: dict[str, Callable[[float, float], float]] = {
    "+": operator.add,
    "-": operator.sub,
    "*": operator.mul,
    "/": lambda a, b: a / b if b else float("nan"),
}


def number(node: nodes.Expression, frame: Frame, what: str) -> Checked:
    """Check an expression that must be a number."""
    checked = check(node, frame)
    if checked.type.form != "quantity":
        hint = f"Write “{frame.text(node)}” by itself, or “is yes”." if checked.type.form == "yes/no" else ""
        raise frame.wrong(node, f"{what} must be a number", f"{checked.type}", "a number", hint)
    return checked


def _arithmetic(node: nodes.Arithmetic, frame: Frame) -> Checked:
    left = number(node.left, frame, f"Each side of “{node.sign}”")
    right = number(node.right, frame, f"Each side of “{node.sign}”")
    if node.sign == "*":
        of = types.product(left.type, right.type)
    elif node.sign == "/":
        of = types.quotient(left.type, right.type)
    else:
        alike(node, left, right, frame)
        of = left.type
    return combined(left, right, of, _SUMS[node.sign])


def alike(node: nodes.Arithmetic | nodes.Compare | nodes.Is, left: Checked, right: Checked, frame: Frame) -> None:
    """Refuse two numbers of different dimensions."""
    if not types.same_dimension(left.type, right.type):
        example = types.example_of(left.type)
        hint = f"A {left.type.dimension} is written like {example}." if example else ""
        raise frame.wrong(
            node.right,
            f"{left.type.dimension} and {right.type.dimension} cannot be set against each other",
            f"{right.type}",
            f"{left.type}, like the left side",
            hint,
        )


def combined(left: Checked, right: Checked, of: Type, join: Callable[[float, float], float]) -> Checked:
    """Two numbers made one, condition by condition where either changes."""
    a, b = needed(left), needed(right)
    if left.conditional and right.conditional:
        return Checked(of, True, lambda scope: a(scope).with_other(b(scope), join))
    if left.conditional:
        return Checked(of, True, lambda scope: _with_fixed(a(scope), b(scope), join))
    if right.conditional:
        return Checked(of, True, lambda scope: _with_fixed(b(scope), a(scope), lambda y, x: join(x, y)))
    return Checked(of, False, lambda scope: join(a(scope), b(scope)))


def _with_fixed(levels: Levels, fixed: float, join: Callable[[float, float], float]) -> Levels:
    return levels.mapped(lambda value: join(value, fixed))
