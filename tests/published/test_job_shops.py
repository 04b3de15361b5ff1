"""Calendars against published optima: three job shops, and a project whose work shares four resources.

H. Fisher and G. L. Thompson, "Probabilistic learning combinations of local job-shop scheduling rules", in J. F. Muth
and G. L. Thompson (eds), Industrial Scheduling, Prentice-Hall 1963: ft06, 55. S. Lawrence, "Resource constrained
project scheduling: an experimental investigation of heuristic scheduling techniques (supplement)", Carnegie-Mellon
University 1984: la01, 666 and la05, 593. R. Kolisch and A. Sprecher, "PSPLIB: a project scheduling problem library",
European Journal of Operational Research 96 (1997) 205-216: j301_1, 43.
"""

from __future__ import annotations

import pytest

from brasswright.planning.calendar_check import problems, unworkable
from brasswright.planning.calendar_model import Aim, Station, Stay, Task, Workshop, ends
from brasswright.planning.calendar_search import first_calendar
from brasswright.planning.improve import Proof, prove

LAST = Aim(late=0, flow=0, last=1)

# Each line a job: machine and minutes, in order.
FT06 = """
    2 1  0 3  1 6  3 7  5 3  4 6
    1 8  2 5  4 10  5 10  0 10  3 4
    2 5  3 4  5 8  0 9  1 1  4 7
    1 5  0 5  2 5  3 3  4 8  5 9
    2 9  1 3  4 5  5 4  0 3  3 1
    1 3  3 3  5 9  0 10  4 4  2 1
"""
LA01 = """
    1 21  0 53  4 95  3 55  2 34
    0 21  3 52  4 16  2 26  1 71
    3 39  4 98  1 42  2 31  0 12
    1 77  0 55  4 79  2 66  3 77
    0 83  3 34  2 64  1 19  4 37
    1 54  2 43  4 79  0 92  3 62
    3 69  4 77  1 87  2 87  0 93
    2 38  0 60  1 41  3 24  4 83
    3 17  1 49  4 25  0 44  2 98
    4 77  3 79  2 43  1 75  0 96
"""
LA05 = """
    1 72  0 87  4 95  2 66  3 60
    4 5  3 35  0 48  2 39  1 54
    1 46  3 20  2 21  0 97  4 55
    0 59  3 19  4 46  1 34  2 37
    4 23  2 73  3 25  1 24  0 28
    3 28  0 45  4 5  1 78  2 83
    0 53  3 71  1 37  4 29  2 12
    4 12  2 87  3 33  1 55  0 38
    2 49  3 83  1 40  0 48  4 7
    2 65  3 17  0 90  4 27  1 23
"""
# Each line an activity from number 2 on: minutes, what it takes of the four resources, and the activities after it.
J301_1 = """
    8  4 0 0 0  6 11 15
    4  10 0 0 0  7 8 13
    6  0 0 0 3  5 9 10
    3  3 0 0 0  20
    8  0 0 0 8  30
    5  4 0 0 0  27
    9  0 1 0 0  12 19 27
    2  6 0 0 0  14
    7  0 0 0 1  16 25
    9  0 5 0 0  20 26
    2  0 7 0 0  14
    6  4 0 0 0  17 18
    3  0 8 0 0  17
    9  3 0 0 0  25
    10 0 0 0 5  21 22
    6  0 0 0 8  22
    5  0 0 0 7  20 22
    3  0 1 0 0  24 29
    7  0 10 0 0  23 25
    2  0 0 0 6  28
    7  2 0 0 0  23
    2  3 0 0 0  24
    3  0 9 0 0  30
    3  4 0 0 0  30
    7  0 0 4 0  31
    8  0 0 0 7  28
    3  0 8 0 0  31
    7  0 7 0 0  32
    2  0 7 0 0  32
    2  0 0 2 0  32
"""
PLACES = (12, 13, 4, 12)
END = 32


def job_shop(text: str) -> Workshop:
    """Machines are stations with one place; nobody is needed, so there are no hours."""
    rows = [[int(word) for word in line.split()] for line in text.strip().splitlines()]
    tasks = [
        Task(
            f"{job} {step}",
            f"job {job}",
            f"step {step}",
            row[2 * step + 1],
            skill="",
            stations=((f"machine {row[2 * step]}", 1),),
            after=(f"{job} {step - 1}",) if step else (),
        )
        for job, row in enumerate(rows)
        for step in range(len(row) // 2)
    ]
    machines = sorted({key for task in tasks for key, _ in task.stations})
    stays = tuple(Stay(f"job {job}") for job in range(len(rows)))
    return Workshop((), tuple(Station(key) for key in machines), stays, tuple(tasks))


def project() -> Workshop:
    """Resources are stations with as many places; a work takes several of them."""
    rows = {n: [int(word) for word in line.split()] for n, line in enumerate(J301_1.strip().splitlines(), start=2)}
    before = {n: tuple(str(m) for m, row in rows.items() if n in row[5:]) for n in rows}
    tasks = tuple(
        Task(
            str(n),
            "project",
            f"activity {n}",
            row[0],
            skill="",
            stations=tuple((f"r{k}", row[1 + k]) for k in range(4) if row[1 + k]),
            after=before[n],
        )
        for n, row in rows.items()
    )
    assert {after for row in rows.values() for after in row[5:]} <= {*rows, END}
    stations = tuple(Station(f"r{k}", places) for k, places in enumerate(PLACES))
    return Workshop((), stations, (Stay("project"),), tasks)


def proved(workshop: Workshop) -> Proof:
    """The first calendar, then the proof, both through the checker."""
    assert unworkable(workshop) == ()
    first = first_calendar(workshop, LAST)
    assert problems(workshop, first) == ()
    proof = prove(workshop, first, LAST, effort=60)
    assert problems(workshop, proof.calendar) == ()
    assert max(ends(workshop, proof.calendar).values()) == proof.points
    return proof


@pytest.mark.parametrize(("text", "optimum"), [(FT06, 55), (LA01, 666), (LA05, 593)], ids=["ft06", "la01", "la05"])
def test_a_job_shop_is_solved_to_its_published_optimum(text: str, optimum: int) -> None:
    proof = proved(job_shop(text))
    assert (proof.points, proof.bound, proof.proven) == (optimum, optimum, True)


def test_a_project_with_shared_resources_is_solved_to_its_published_optimum() -> None:
    proof = proved(project())
    assert (proof.points, proof.bound, proof.proven) == (43, 43, True)


@pytest.mark.parametrize(("text", "optimum"), [(FT06, 55), (LA01, 666), (LA05, 593)], ids=["ft06", "la01", "la05"])
def test_rules_alone_are_not_better_than_the_optimum_and_not_far_off(text: str, optimum: int) -> None:
    workshop = job_shop(text)
    last = max(ends(workshop, first_calendar(workshop, LAST)).values())
    assert optimum <= last <= 1.3 * optimum
