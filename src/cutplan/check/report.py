"""What the judge found: violations as values, and the facts that it verified."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from fractions import Fraction

from msgspec import Struct
from msgspec.structs import replace


class PlanUnreadable(ValueError):  # noqa: N818 - it reads as what it says of the plan
    """A document that is no plan: broken JSON, or a structure that leaves nothing to judge.

    ``faults`` holds every fault found, one sentence each, with the key path in front.
    """

    def __init__(self, faults: Iterable[str]) -> None:
        self.faults = tuple(faults)
        super().__init__("\n".join(self.faults))


class Violation(Struct, frozen=True):
    """One rule broken by a plan: its name, such as ``place``, and one sentence with the values.

    ``where`` is what it was broken by, such as ``roll A``, empty for the plan as a whole. ``amount`` is by how much, in
    millimetres or in what else the message says; None where there is no amount.
    """

    rule: str
    where: str
    message: str
    amount: Fraction | None = None

    def line(self) -> str:
        """Return the violation as one line, ``where: message``."""
        return f"{self.where}: {self.message}" if self.where else self.message


class Report(Struct, frozen=True):
    """The judgement of a plan, or of one side of it: rules broken, and facts that were verified.

    ``searched`` are bounds that nothing proves here, since only a search vouches for them or their proof is too long;
    ``trusted`` is what else the plan states and the judge cannot work out again; ``subject`` what was judged, in words.
    """

    violations: tuple[Violation, ...] = ()
    facts: tuple[str, ...] = ()
    searched: tuple[str, ...] = ()
    trusted: tuple[str, ...] = ()
    subject: str = "the plan"

    @property
    def holds(self) -> bool:
        """True when no rule is broken."""
        return not self.violations

    def within(self, name: str) -> Report:
        """Return the report as one on a part of something: every sentence names the part first."""
        violations = (replace(broken, where=f"{name}: {broken.where}".rstrip(": ")) for broken in self.violations)
        kinds = (self.facts, self.searched, self.trusted)
        facts, searched, trusted = (tuple(f"{name}: {said}" for said in kind) for kind in kinds)
        return Report(tuple(violations), facts, searched, trusted)


def together(*reports: Report, subject: str = "the plan") -> Report:
    """Return several reports as one."""
    return Report(
        tuple(violation for report in reports for violation in report.violations),
        tuple(fact for report in reports for fact in report.facts),
        tuple(bound for report in reports for bound in report.searched),
        tuple(claim for report in reports for claim in report.trusted),
        subject,
    )


def report_lines(report: Report) -> list[str]:
    """Return the report for people: bounds not proved, violations, facts, what is trusted, then the judgement."""
    lines = [f"NOT PROVED HERE: {bound}" for bound in report.searched]
    lines += [f"wrong: {violation.line()}" for violation in report.violations]
    lines += [f"checked: {fact}" for fact in report.facts]
    lines += [f"on trust: {claim}" for claim in report.trusted]
    if report.holds:
        return [*lines, f"{report.subject} holds"]
    count = len(report.violations)
    return [*lines, f"{report.subject} does not hold: {counted(count, 'fault')}"]


def exact_text(value: Fraction | int) -> str:
    """Return a number without any rounding, as a decimal where one ends, else as a mixed fraction.

    >>> from fractions import Fraction
    >>> exact_text(Fraction(51, 2)), exact_text(Fraction(640, 3)), exact_text(Fraction(-1, 3))
    ('25.5', '213 1/3', '−1/3')

    """
    rest = value.denominator
    digits = 0
    while rest % 2 == 0 or rest % 5 == 0:
        rest //= 10 if rest % 10 == 0 else 2 if rest % 2 == 0 else 5
        digits += 1
    sign = "−" if value < 0 else ""
    if rest == 1:
        whole, tail = divmod(abs(value.numerator) * 10**digits // value.denominator, 10**digits)
        return f"{sign}{whole}" + (f".{tail:0{digits}d}" if digits else "")
    whole, part = divmod(abs(value.numerator), value.denominator)
    return f"{sign}{whole} {part}/{value.denominator}" if whole else f"{sign}{part}/{value.denominator}"


def mm(length: Fraction) -> str:
    """Return a length in millimetres, exactly: ``5 mm``, ``213 1/3 mm``."""
    return f"{exact_text(length)} mm"


def counted(count: int | Fraction, noun: str) -> str:
    """Return ``1 roll`` or ``7 rolls``."""
    return f"{count} {noun}" if count == 1 else f"{count} {noun}s"


def float_rule(rule: str, where: str, key: str, shown: Fraction | None, exact: Fraction) -> Iterator[Violation]:
    """Require a length that is shown to be the exact one rounded to the nearest float."""
    if shown is not None and float(shown) != float(exact):
        away = abs(shown - exact)
        message = f"{key} says {mm(shown)}, which is {mm(away)} from the exact {mm(exact)}"
        yield Violation(rule, where, message, away)
