"""What bounds an estimate: what cannot be left out, cautions, and the answers an owner can give."""

from __future__ import annotations

from typing import TYPE_CHECKING

from brasswright.planning.access import away, ways
from brasswright.reckoning.money import expected, rounded, with_tax
from brasswright.workshop.paper_grounds import BOILER, boiler_unopened, unlooked
from brasswright.workshop.paper_words import and_more, condition_words, listed, lower

if TYPE_CHECKING:
    from collections.abc import Iterator

    from brasswright.planning.model import Fault, Piece
    from brasswright.workshop.paper_money import Lines
    from brasswright.workshop.paper_words import Basis

__all__ = ["answers", "cautions", "first_step", "not_left_out"]

MOST_BOUND = 8
WORTH_A_STEP = 0.05
"""A part whose condition makes at least this share of the width is worth opening the machine for."""
CHEAP = 0.5
"""A first step costs at most this share of the low figure, else it is no first step."""
_USES = {
    "kitchen": "This is worked out for a kitchen at home. Tell us if it is to stand in a café: other rules hold there.",
    "cafe": "For a café ask first who has to examine a heated vessel and mains gear at that place; their word goes.",
    "display": "For display only it is disabled, labelled, and never filled, heated or plugged in.",
    "not said": "You have not said where it will stand. Kitchen, café and shelf are three different jobs: please say.",
}


def not_left_out(basis: Basis, lines: Lines) -> tuple[str, ...]:
    """Return what is done whatever is wished: conditions that bind, clearance, the tests of the hold points."""
    return tuple(_bound(basis, lines))


def _bound(basis: Basis, lines: Lines) -> Iterator[str]:
    choice = basis.estimated.planned.plan.choice
    bound = [fault for fault in basis.problem.faults if fault.must and fault.id not in choice.unmended]
    if bound:
        said = [_binding(basis, fault, lines) for fault in bound]
        yield f"What must be put right: {and_more(said, MOST_BOUND, joint='; ')}."
    if "clearance" in lines.places:
        yield f"Presumed asbestos, cleared before anything near it is disturbed (line {lines.places['clearance']})."
    if choice.unmended:
        lost = [basis.fault(basis.faults[key]) for key in choice.unmended if key in basis.faults]
        yield f"We know no way to put right: {listed(lost)}. Unless one is found, the machine leaves as not for use."
    yield from _tests(basis, lines)
    yield "No wish and no budget removes them. A test that passed has passed against its limit on its day, no more."


def _tests(basis: Basis, lines: Lines) -> Iterator[str]:
    """The tests that hold points wait for by name, others by number."""
    waited_for = {key for hold in basis.sheet.hold.values() for key in hold.proofs}
    due = [key for key in basis.estimated.planned.plan.choice.due if key in basis.sheet.proving]
    named = [lower(basis.sheet.proving[key].name) for key in due if key in waited_for]
    others = len(due) - len(named)
    if named:
        line = f" (line {lines.places['proving']})" if "proving" in lines.places else ""
        more = f"; and {others} more for machines of this kind" if others else ""
        yield f"The tests that hold points wait for{line}: {'; '.join(named)}{more}."


def _binding(basis: Basis, fault: Fault, lines: Lines) -> str:
    """A component with the conditions of it that have to be put right, of which the likeliest binds, and its line."""
    together = [one for one in basis.problem.faults if one.component == fault.component and (one.may_must or one.must)]
    name = lower(basis.sheet.component[fault.component].name)
    return f"{name} ({condition_words(together, seen=basis.seen(fault))}{_where(basis, fault.id, lines)})"


def _where(basis: Basis, fault: str, lines: Lines) -> str:
    """In which line a fault is put right."""
    for key in basis.estimated.planned.plan.choice.treatments:
        option = basis.options.get(key)
        if option is not None and any(mend.fault == fault for mend in option.mends):
            number = lines.places.get(f"zone:{option.zone}")
            return f"; line {number}" if number else ""
    return ""


def cautions(basis: Basis) -> tuple[str, ...]:
    """Return the cautions an owner needs until it is done, in our words; local rules and licensed people go first."""
    return tuple(_cautions(basis))


def _cautions(basis: Basis) -> Iterator[str]:
    yield "Until it has passed its tests, leave it unplugged, empty and cold, wherever it stands. Please do not try it."
    gone = {key for key, noted in basis.job.presence.items() if noted.body.presence in {"absent", "missing"}}
    if any(part.presumed_asbestos and key not in gone for key, part in basis.sheet.component.items()):
        yield (
            "Old lagging, rope, sleeves and sealing rings count as asbestos until a laboratory says otherwise. Do not"
            " touch, brush or cut them; sampling and removal are for people licensed where you live."
        )
    yield "Brass, solder and old paint may hold lead; what we know and do not know of it will stand on your papers."
    yield "Nobody drinks from it before its water ways are flushed and heated through: water that stood breeds germs."
    yield (
        "A hot boiler stores force, a metal case can carry mains. Rules for both differ from place to place; where you"
        " live, they and the people licensed under them go before this paper."
    )
    arrived = basis.job.arrived
    yield _USES[arrived.body.use if arrived is not None else "not said"]


def answers(basis: Basis) -> tuple[str, ...]:
    """Return what the owner can tick."""
    high = basis.money(basis.figures.high_minor)
    step = first_step(basis)
    return (
        f"Go ahead as above. Above {high} stop and ask me.",
        *((step,) if step else ()),
        "Pack it up as it is, labelled not for use.",
    )


def first_step(basis: Basis) -> str:
    """Return a cheaper first step: open as far as the unseen parts that move the figure most; empty if there is none.

    Its money is what opening and closing again is expected to cost, tax included, clearance of presumed asbestos too
    where the way leads past it.
    """
    pieces = {piece.id: piece for piece in basis.problem.pieces}
    routes = ways(basis.problem.pieces, away(basis.problem.pieces))
    for part in _worth_opening(basis):
        way = [pieces[key] for key in sorted(routes.get(part, frozenset()) - {part})]
        if way:
            clears = _clears(basis, way)
            money = _opening(basis, way, clears=clears)
            if money <= CHEAP * basis.figures.low_minor:
                first = "Clear the presumed asbestos, then open" if clears else "First only open"
                return f"{first} {_as_far_as(basis, part)}, about {basis.money(money)}; then a new estimate."
    return ""


def _as_far_as(basis: Basis, part: str) -> str:
    name = lower(basis.sheet.component[part].name)
    return "the boiler and look inside" if part == BOILER else f"it as far as the {name} and look"


def _worth_opening(basis: Basis) -> Iterator[str]:
    """Unseen parts that move the figure, then the boiler's inside where nobody has looked.

    Never what is presumed to hold asbestos: that is looked at through openings that are there, not by opening more.
    """
    wide = (driver for driver in basis.figures.drivers if driver.kind == "component" and driver.share >= WORTH_A_STEP)
    for driver in wide:
        if unlooked(basis, driver.subject) and not basis.sheet.component[driver.subject].presumed_asbestos:
            yield driver.subject
    if boiler_unopened(basis):
        yield BOILER


def _clears(basis: Basis, way: list[Piece]) -> bool:
    touches = any(piece.presumed_asbestos or "lagging" in piece.acts for piece in way)
    return touches and basis.problem.clearance is not None and not basis.problem.cleared


def _opening(basis: Basis, way: list[Piece], *, clears: bool) -> int:
    clearance = basis.problem.clearance
    money = float(sum(piece.taking_minor + piece.giving_minor for piece in way))
    money += expected(clearance.cost) if clears and clearance is not None else 0.0
    return rounded(with_tax(money, basis.figures.tax_permille))
