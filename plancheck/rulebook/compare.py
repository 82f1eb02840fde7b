"""Comparisons checked: numbers in order, `is`, `is one of`, `is given`."""

from __future__ import annotations

from typing import Any

from plancheck.circuit.conditions import Levels
from plancheck.nearest import did_you_mean
from plancheck.rulebook import nodes, types
from plancheck.rulebook.check import alike, check, number
from plancheck.rulebook.claims import TESTS, Claim, Test, Unknown, compared, compared_with
from plancheck.rulebook.naming import key
from plancheck.rulebook.scope import Checked, Frame, Run, Scope, Wrong, needed
from plancheck.rulebook.things import ancestry

_WORDS = {"yes": True, "no": False}


def ordered(node: nodes.Compare, frame: Frame) -> Checked:
    """`a <= b` and its like."""
    left = number(node.left, frame, f"What stands left of “{node.sign}”")
    right = number(node.right, frame, f"What stands right of “{node.sign}”")
    alike(node, left, right, frame)
    run = comparison(left, right, TESTS[node.sign])
    conditional = left.conditional or right.conditional
    return Checked(types.YES_NO, conditional, run, margin=_margin(left, right, node.sign))


def comparison(left: Checked, right: Checked, test: Test) -> Run:
    """How two numbers compare, as a claim if either changes with the condition."""
    a, b = needed(left), needed(right)
    if left.conditional and right.conditional:
        return lambda scope: compared(a(scope), b(scope), test)
    if left.conditional:
        return lambda scope: compared_with(a(scope), b(scope), test)
    if right.conditional:
        return lambda scope: compared_with(b(scope), a(scope), test, number_first=True)

    def run(scope: Scope) -> bool:
        x, y = a(scope), b(scope)
        if x != x or y != y:
            raise Unknown("a number in it could not be worked out")
        return test(x, y)

    return run


def _margin(left: Checked, right: Checked, sign: str) -> Run:
    """By how much the left side is beyond the right one."""
    a, b, sense = left.run, right.run, 1.0 if sign[0] == "<" else -1.0

    def run(scope: Scope) -> Levels:
        x, y = a(scope), b(scope)
        x = x if isinstance(x, Levels) else Levels.constant(x)
        y = y if isinstance(y, Levels) else Levels.constant(y)
        difference: Levels = x.with_other(y, lambda p, q: sense * (p - q))
        return difference

    return run


# --- is ----------------------------------------------------------------------------------------------------


def equal(node: nodes.Is, frame: Frame) -> Checked:
    """`a is b`, `a is not b`."""
    left = check(node.left, frame)
    if isinstance(node.right, nodes.Words):
        checked = _is_words(node, left, node.right, frame)
    else:
        checked = _is_value(node, left, check(node.right, frame), frame)
    return _denied(checked) if node.negated else checked


def _denied(checked: Checked) -> Checked:
    run = checked.run
    if checked.conditional:
        return Checked(types.YES_NO, True, lambda scope: run(scope).opposite())
    return Checked(types.YES_NO, False, lambda scope: _opposite(run(scope)))


def _opposite(value: bool | None) -> bool | None:
    return None if value is None else not value


def _is_words(node: nodes.Is, left: Checked, words: nodes.Words, frame: Frame) -> Checked:
    form = left.type.form
    if form == "yes/no":
        if words.text not in _WORDS:
            raise frame.wrong(words, "A yes-or-no fact is yes or no", f"“{words.text}”", "yes or no")
        return _is_truth(left, _WORDS[words.text])
    if form == "choice" and words.text in left.type.options:
        return _is_text(left, frozenset((words.text,)))
    if len(words.words) == 1 and (words.text in frame.variables or words.text in frame.limits):
        as_path = nodes.Path(words.words, words.start, words.end)
        return _is_value(node, left, check(as_path, frame), frame)
    return _is_text(left, frozenset((_option(left, words, frame),)))


def _option(left: Checked, words: nodes.Words, frame: Frame) -> str:
    """One of the words that a choice may be; a text may be anything."""
    if left.type.form == "text":
        return words.text
    if left.type.form != "choice":
        example = types.example_of(left.type)
        expected = "a value of that sort" + (f", such as {example}" if example else "")
        raise frame.wrong(words, f"“{words.text}” cannot be {left.type}", f"“{words.text}”", expected)
    if words.text not in left.type.options:
        headline = f"It is never “{words.text}”"
        hint = did_you_mean(words.text, left.type.options)
        raise frame.wrong(words, headline, f"“{words.text}”", f"{left.type}", hint)
    return words.text


def _is_truth(left: Checked, wanted: bool) -> Checked:
    run = left.run
    if wanted:
        return left
    if left.conditional:
        return Checked(types.YES_NO, True, lambda scope: run(scope).opposite())
    return Checked(types.YES_NO, False, lambda scope: _opposite(run(scope)))


def _is_text(left: Checked, options: frozenset[str]) -> Checked:
    """Whether words are among some; words that the plan does not give are certainly not."""
    run = left.run
    return Checked(types.YES_NO, False, lambda scope: run(scope) in options)


def _is_value(node: nodes.Is, left: Checked, right: Checked, frame: Frame) -> Checked:
    forms = left.type.form, right.type.form
    if forms == ("quantity", "quantity"):
        alike(node, left, right, frame)
        conditional = left.conditional or right.conditional
        return Checked(types.YES_NO, conditional, _numbers_equal(left, right))
    if forms == ("yes/no", "yes/no"):
        return _truths_equal(left, right)
    if set(forms) <= {"text", "choice"} or forms == ("date", "date"):
        a, b = left.run, right.run
        return Checked(types.YES_NO, False, lambda scope: _same(a(scope), b(scope)))
    if forms == ("thing", "thing") and _related(left.type.of, right.type.of):
        a, b = left.run, right.run
        return Checked(types.YES_NO, False, lambda scope: _same_thing(a(scope), b(scope)))
    raise _different(node, left, right, frame)


def _different(node: nodes.Is, left: Checked, right: Checked, frame: Frame) -> Wrong:
    return frame.wrong(node.right, "The two sides of “is” can never be the same", f"{right.type}", f"{left.type}")


def _numbers_equal(left: Checked, right: Checked) -> Run:
    run, a, b = comparison(left, right, TESTS["is"]), left.run, right.run
    if left.conditional or right.conditional:
        return run
    # As with words, a number that the plan does not give is certainly no other number.
    return lambda scope: a(scope) is not None and b(scope) is not None and run(scope)


def _truths_equal(left: Checked, right: Checked) -> Checked:
    from plancheck.rulebook.claims import both, either
    from plancheck.rulebook.scope import as_claim

    if left.conditional or right.conditional:
        p, q = as_claim(left), as_claim(right)

        def run(scope: Scope) -> Claim:
            x, y = p(scope), q(scope)
            return either(both(x, y), both(x.opposite(), y.opposite()))

        return Checked(types.YES_NO, True, run)
    a, b = left.run, right.run
    return Checked(types.YES_NO, False, lambda scope: _same(a(scope), b(scope)))


def _same(a: Any, b: Any) -> bool | None:
    return a is not None and a == b


def _same_thing(a: Any, b: Any) -> bool:
    return a is not None and b is not None and (a is b or key(a) == key(b))


def _related(a: str, b: str) -> bool:
    return a in ancestry(b) or b in ancestry(a)


# --- is one of, is given -----------------------------------------------------------------------------------


def one_of(node: nodes.IsOneOf, frame: Frame) -> Checked:
    """`a is one of …`."""
    left = check(node.left, frame)
    if left.type.form not in ("choice", "text"):
        hint = "Numbers and yes-or-no facts are compared one by one."
        raise frame.wrong(node.left, "“is one of” asks for words", f"{left.type}", "words", hint)
    found = [_noted(left, words, frame) for words in node.options]
    if None in found:
        raise Wrong
    checked = _is_text(left, frozenset(option for option in found if option is not None))
    return _denied(checked) if node.negated else checked


def _noted(left: Checked, words: nodes.Words, frame: Frame) -> str | None:
    """None where the mistake has been noted, so that the options behind it are checked too."""
    try:
        return _option(left, words, frame)
    except Wrong:
        return None


def given(node: nodes.IsGiven, frame: Frame) -> Checked:
    """`a is given`: the plan says it."""
    left = check(node.left, frame)
    if left.conditional:
        hint = "What changes with the condition is worked out, not given."
        raise frame.wrong(node.left, "“is given” asks what the plan says", frame.text(node.left), "a value", hint)
    run, wanted = left.run, not node.negated

    def is_given(scope: Scope) -> bool:
        value = run(scope)
        return (value is not None and value is not False and value != () and value != []) is wanted

    return Checked(types.YES_NO, False, is_given)
