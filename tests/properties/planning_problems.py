"""Invented choice problems for the oracles: small ones with circles of access, and ones a minimum cut can solve."""

from __future__ import annotations

import random

from brasswright.planning.model import Bought, Clauses, Fault, Mend, Option, Piece, Problem, ProvingTest, Step

__all__ = ["closure_problem", "small_problem", "workshop_problem"]

NOTHING = (0.0, 0.0, 0.0)


def piece(key: str, access: Clauses = (), minor: int = 0, acts: tuple[str, ...] = ()) -> Piece:
    return Piece(
        id=key,
        name=f"The {key}",
        zone="inside",
        kind="component",
        access=access,
        off_minutes=NOTHING,
        on_minutes=NOTHING,
        acts=acts,
        taking_minor=minor,
    )


def option(key: str, mends: tuple[Mend, ...], minor: int, off: tuple[str, ...], access: Clauses = ()) -> Option:
    return Option(
        id=key,
        name=f"Do {key}",
        way="repair",
        zone="inside",
        mends=mends,
        off=off,
        access=access,
        steps=(Step(do=key, minutes=NOTHING),),
        parts=(),
        money_minor=minor,
    )


def small_problem(seed: int, *, pieces: int = 9, faults: int = 4, options: int = 6) -> Problem:
    """Random OR-clauses over all pieces, so that access runs in circles; at least one piece is free."""
    dice = random.Random(seed)  # noqa: S311 - invented problems, no secrets
    names = [f"p{i}" for i in range(pieces)]
    things = []
    for i, name in enumerate(names):
        others = [other for other in names if other != name]
        clauses = tuple(tuple(dice.sample(others, dice.randint(1, 3))) for _ in range(dice.randint(0, 2) if i else 0))
        acts = ("opens_envelope",) if dice.random() < 0.3 else ()
        things.append(piece(name, clauses, dice.randint(1, 60), acts))
    found = []
    for i in range(faults):
        leaving = dice.randint(20, 300)
        chance = dice.random()
        found.append(
            Fault(
                id=f"f{i}.bad",
                component=f"f{i}",
                condition="bad",
                probability=chance,
                leaving_minor=leaving,
                risk_minor=round(chance * leaving),
                must=dice.random() < 0.2,
            )
        )
    ways = []
    for i in range(options):
        cured = {i % faults, *([dice.randrange(faults)] if dice.random() < 0.4 else [])}
        mends = tuple(Mend(f"f{k}.bad", "fine", dice.randint(0, found[k].risk_minor // 3), 0) for k in sorted(cured))
        off = tuple(dice.sample(names, dice.randint(0, 2)))
        access = tuple(tuple(dice.sample(names, 2)) for _ in range(dice.randint(0, 1)))
        ways.append(option(f"t{i}", mends, dice.randint(5, 120), off, access))
    test = ProvingTest("press", "Press", dice.randint(5, 80), NOTHING, 0.0, (), ("opens_envelope",), wanted=False)
    return Problem(tuple(things), tuple(found), tuple(ways), (test,))


def closure_problem(seed: int, *, pieces: int = 60, faults: int = 30) -> Problem:
    """One treatment a fault, every clause of one member, nothing that must be done: a maximum-weight closure."""
    dice = random.Random(seed)  # noqa: S311 - invented problems, no secrets
    names = [f"p{i}" for i in range(pieces)]
    things = [
        piece(name, tuple((names[j],) for j in dice.sample(range(i), min(i, dice.randint(0, 2)))), dice.randint(1, 50))
        for i, name in enumerate(names)
    ]
    found = [Fault(f"f{i}.bad", f"f{i}", "bad", 0.5, 0, dice.randint(10, 400)) for i in range(faults)]
    ways = [
        option(f"t{i}", (Mend(f"f{i}.bad", "fine", 0, 0),), dice.randint(5, 150), tuple(dice.sample(names, 2)))
        for i in range(faults)
    ]
    return Problem(tuple(things), tuple(found), tuple(ways))


def workshop_problem(seed: int, *, pieces: int = 60, faults: int = 120, options: int = 110) -> Problem:
    """As many pieces, faults and treatments as a full sheet has, access free of circles, some faults binding."""
    dice = random.Random(seed)  # noqa: S311 - invented problems, no secrets
    names = [f"p{i}" for i in range(pieces)]
    things = [
        piece(
            name,
            tuple(tuple(names[j] for j in dice.sample(range(i), min(i, dice.randint(1, 2)))) for _ in range(i > 2)),
            dice.randint(100, 3000),
            ("opens_envelope",) if dice.random() < 0.2 else (),
        )
        for i, name in enumerate(names)
    ]
    found = []
    for i in range(faults):
        chance = dice.betavariate(1, 4)
        leaving = round(dice.lognormvariate(9.0, 1.0))
        key = f"{names[i % pieces]}.c{i}"
        found.append(
            Fault(key, names[i % pieces], f"c{i}", chance, leaving, round(chance * leaving), must=dice.random() < 0.05)
        )
    ways = []
    for i in range(options):
        fault = found[dice.randrange(faults)]
        mend = Mend(fault.id, "fine", round(0.05 * fault.risk_minor), round(0.05 * fault.leaving_minor))
        off = (fault.component,) if dice.random() < 0.7 else ()
        ways.append(option(f"t{i}", (mend,), dice.randint(500, 9000), off))
    test = ProvingTest("press", "Press", 2500, NOTHING, 0.0, (), ("opens_envelope",), wanted=False)
    lab = Bought("asbestos_clearance", "Clearance", (9000, 18000, 45000))
    return Problem(tuple(things), tuple(found), tuple(ways), (test,), clearance=lab)
