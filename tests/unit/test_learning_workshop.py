"""Learning in a workshop: finished jobs, adopting, judging by what was learned, taking it back; how good odds were."""

from __future__ import annotations

import math
import re
import shutil
from datetime import timedelta
from typing import TYPE_CHECKING
from uuid import uuid4
from xml.etree import ElementTree as ET

import pytest

from brasswright.errors import EntryRefused, NotFound
from brasswright.journal.entries import Found, Learnt, Sent, Started
from brasswright.judgement.cases import Reader
from brasswright.judgement.scores import Called, calibration, in_words
from brasswright.judgement.shape import judgement_shape
from brasswright.judgement.truth import finished_job
from brasswright.sheets import load
from brasswright.store import Draft
from brasswright.store.bundle import export, import_
from brasswright.workshop.folder import open_workshop
from brasswright.workshop.judging import judge
from brasswright.workshop.learning import adopt, called, is_over, lessons, take_back, taught
from brasswright.workshop.receive import receive
from tests.builders import NOON, answered, arrived, job_of
from tests.simulated_shop import Shop, shifted
from tests.unit.commands_bench import run
from tests.unit.workshop_bench import NUMBER, made, now, say, told

if TYPE_CHECKING:
    from pathlib import Path

    from brasswright.journal.learnt import Strength
    from brasswright.workshop.folder import Workshop

KEY = "quay-slice"


def busy(folder: Path, many: int = 12, *, sent: bool = True) -> Workshop:
    """A workshop with so many finished jobs, numbers 101 and up, whose machines are worse than the sheet believes."""
    workshop = made(folder)
    sheet = load.load_sheet(folder / "sheets" / f"{KEY}.toml").sheet
    shop = Shop(sheet, shifted(sheet, 1.5, 5), seed=6)
    for number in range(101, 101 + many):
        finish(workshop, shop, number, sent=sent)
    return workshop


def finish(workshop: Workshop, shop: Shop, number: int, *, sent: bool = True) -> None:
    """One more job of a made-up shop, from its arrival on."""
    machine = {"description": "home spring-lever machine"}
    job = receive(workshop, {"number": number, "sheet": KEY, "machine": machine}, by="ic", at=NOON)
    bodies = [*shop.told(), Sent(what="The machine, to its owner")] if sent else list(shop.told())
    drafts = [Draft(id=uuid4(), at=NOON + timedelta(minutes=5), by="ic", body=body) for body in bodies]
    workshop.store.append(job, drafts)


@pytest.fixture(scope="module")
def forty(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The folder of a workshop with forty finished jobs."""
    folder = tmp_path_factory.mktemp("learning") / "quay"
    busy(folder, 40).store.close()
    return folder


@pytest.fixture
def quay(forty: Path, tmp_path: Path) -> Path:
    """A copy of it to work in."""
    return shutil.copytree(forty, tmp_path / "quay")


def test_adopted_learning_moves_the_odds_and_taken_back_leaves_no_trace(quay: Path) -> None:
    workshop = open_workshop(quay, now)
    before = judgement_shape(judge(told(workshop)))
    assert before["learning"] is None
    what = taught(workshop, KEY)
    assert what.learning.rows
    noted = adopt(workshop, what, by="ic", words="a first winter")
    after = judgement_shape(judge(told(workshop)))
    learning = after["learning"]
    assert (learning["entry"], learning["by"], learning["not_fitting"]) == (str(noted.id), "ic", [])
    assert learning["rows"] == len(what.learning.rows)
    assert after["components"] != before["components"]
    with pytest.raises(EntryRefused, match="nobody of this workshop"):
        take_back(workshop, KEY, by="xy")
    take_back(workshop, KEY, by="tw")
    assert judgement_shape(judge(told(workshop))) == before
    with pytest.raises(EntryRefused, match="Nothing learned is in force"):
        take_back(workshop, KEY, by="tw")


def test_the_odds_held_against_what_was_found_are_those_of_their_own_time(quay: Path) -> None:
    """Learning adopted after a strip-down does not flatter the odds before it; a later strip-down has the new odds."""
    workshop = open_workshop(quay, now)
    before = called(workshop, KEY)
    adopt(workshop, taught(workshop, KEY), by="ic")
    workshop.store.clock = lambda: now() + timedelta(hours=1)
    assert called(workshop, KEY) == before
    assert called(workshop, "another-kind") == ()
    sheet = load.load_sheet(quay / "sheets" / f"{KEY}.toml").sheet
    finish(workshop, Shop(sheet, sheet, seed=9), 300)
    with_learning = [one for one in called(workshop, KEY) if one.job == 300]
    take_back(workshop, KEY, by="ic")
    assert [one for one in called(workshop, KEY) if one.job == 300] == with_learning
    one = finished_job(300, workshop.open_job(300).job, sheet)
    assert one is not None
    own = Reader(sheet).called(one)
    assert [part.component for part in own] == [part.component for part in with_learning]
    assert [part.odds for part in own] != [part.odds for part in with_learning]


def test_nothing_is_adopted_where_nothing_judges_better(tmp_path: Path) -> None:
    workshop = busy(tmp_path / "quay", 3)
    with pytest.raises(EntryRefused, match="judges better"):
        adopt(workshop, taught(workshop, KEY), by="ic")


def test_a_job_teaches_when_something_was_found_and_it_is_over(tmp_path: Path) -> None:
    workshop = busy(tmp_path / "quay", 2, sent=False)
    assert lessons(workshop).jobs == ()
    say(workshop, "sent", what="Estimate, by post")
    say(workshop, "found", component="spring", condition="broken")
    assert not is_over(told(workshop).job)
    assert {(number, why) for number, _, why in lessons(workshop).left_out} == {
        (number, "It is not over: neither released, handed over nor sent.") for number in (NUMBER, 101, 102)
    }
    say(workshop, "sent", what="the Machine, in its crate")
    assert [job.number for job in lessons(workshop).jobs] == [NUMBER]


def test_a_job_from_elsewhere_teaches_only_once_it_is_adopted(forty: Path, tmp_path: Path) -> None:
    shop = open_workshop(forty, now)
    away = made(tmp_path / "away")
    bundle = tmp_path / "job.zip"
    export(shop.store, shop.job_id(103), bundle)
    import_(away.store, bundle)
    assert lessons(away).jobs == ()
    assert lessons(away).left_out == ((103, KEY, "It came from elsewhere and nobody here has adopted it."),)


def test_a_sheet_nobody_has_and_no_job_is_pinned_to_is_named(tmp_path: Path) -> None:
    with pytest.raises(NotFound, match="no sheet 'tea-urn'"):
        taught(made(tmp_path / "quay"), "tea-urn")


# -------------------------------------------------------------------------------------------- what a journal tells


SLICE = load.load_packaged("home-spring-lever").sheet


def test_what_is_seen_after_a_treatment_began_says_nothing_of_how_the_machine_came() -> None:
    key, treatment = next(iter(SLICE.treatment.items()))
    part = treatment.fixes[0].of
    worst, best = SLICE.component[part].states[-1], SLICE.component[part].states[0]
    other = next(other for other in SLICE.component if all(fix.of != other for fix in treatment.fixes))
    question, after = list(SLICE.finding)[:2]
    job = job_of(
        arrived(sheet="home-spring-lever"),
        answered(question, SLICE.finding[question].answers[-1]),
        Found(component=part, condition=worst),
        Started(operation=f"treat:{key}:1", title=treatment.name),
        answered(question, SLICE.finding[question].answers[0]),
        answered(after, SLICE.finding[after].answers[0]),
        Found(component=part, condition=best),
        Found(component=other, condition=SLICE.component[other].states[0]),
    )
    told_ = finished_job(7, job, SLICE)
    assert told_ is not None
    assert told_.before.found == {}
    assert {key: noted.body.condition for key, noted in told_.truth.found.items()} == {
        part: worst,
        other: SLICE.component[other].states[0],
    }
    assert {key: noted.body.answer for key, noted in told_.truth.answers.items()} == {
        question: SLICE.finding[question].answers[-1]
    }
    assert finished_job(8, job_of(arrived()), SLICE) is None


# ---------------------------------------------------------------------------------------------- how good odds were


def parts(*told_: tuple[float, int]) -> tuple[Called, ...]:
    return tuple(Called(1, f"c{i}", "Part", (1.0 - bad, bad), found) for i, (bad, found) in enumerate(told_))


def test_scores_by_hand() -> None:
    """Two parts: one called bad at 0.8 and bad, one at 0.3 and sound."""
    found = calibration(parts((0.8, 1), (0.3, 0)))
    assert found is not None
    assert found.log_score == pytest.approx(-(math.log(0.8) + math.log(0.7)) / 2)
    assert found.brier == pytest.approx((2 * 0.2**2 + 2 * 0.3**2) / 2)
    assert found.off == pytest.approx((0.2 + 0.3) / 2)
    assert calibration(()) is None


def test_honest_odds_score_best() -> None:
    """The log score and the Brier score are proper: of 100 parts of which 30 are bad, saying 0.3 scores best."""
    scores = {}
    for said in (0.1, 0.2, 0.3, 0.4, 0.5):
        found = calibration(parts(*[(said, 1)] * 30, *[(said, 0)] * 70))
        assert found is not None
        scores[said] = (found.log_score, found.brier, found.off)
    for place in range(3):
        assert min(scores, key=lambda said: scores[said][place]) == 0.3


def test_bins_hold_every_part_once_and_speak() -> None:
    found = calibration(parts(*[(0.85, 1)] * 31, *[(0.85, 0)] * 4, (1.0, 1), (0.0, 0)))
    assert found is not None
    assert sum(one.called for one in found.bins) == found.parts == 37
    said = in_words(found.bins[8])
    assert said.startswith("Of 35 parts we called 80 to 90 % likely")
    assert "31 were; 30 were to be expected" in said
    assert in_words(found.bins[9]).startswith("One part we called 90 to 100 %")
    assert in_words(found.bins[5]) == ""


# ------------------------------------------------------------------------------------------------------- commands


def test_learn_and_calibration_on_the_command_line(quay: Path, tmp_path: Path) -> None:
    folder = quay
    said = run("learn", "-w", folder)
    assert said.code == 0, said.err
    assert "40 finished jobs teach" in said.out
    assert "Not looked at is not counted as fine" in said.out
    shape = run("learn", "-w", folder, "--json").json
    assert shape["in_force"] is None
    assert {row["adopted"] for row in shape["rows"]} == {True, False} or shape["whole"]["adopted"]
    done = run("learn", "-w", folder, "--adopt", "--by", "ic", "--json")
    assert done.json["in_force"]["rows"] == sum(row["adopted"] for row in done.json["rows"])
    assert "In force" in run("learn", "-w", folder).out
    assert run("learn", "-w", folder, "--adopt", "--take-back").code == 2
    assert run("learn", "-w", folder, "--take-back", "--by", "ic").out.startswith("Taken back")
    assert "Nothing learned is in force" in run("learn", "--sheet", KEY, "-w", folder, "--take-back", "--by", "ic").err
    words = run("calibration", "-w", folder, "--chart", tmp_path / "c.svg")
    assert re.search(r"\d+ parts found in 40 finished jobs", words.out)
    ET.fromstring((tmp_path / "c.svg").read_text(encoding="utf-8"))  # noqa: S314 - made here
    assert run("calibration", "-w", folder, "--sheet", KEY, "--json").json["jobs"] == 40
    assert run("calibration", "-w", folder, "--chart", tmp_path / "no" / "c.svg").code == 1


def test_a_workshop_without_finished_jobs_says_so(tmp_path: Path) -> None:
    made(tmp_path / "quay").store.close()
    assert "No job is finished yet" in run("learn", "-w", tmp_path / "quay").err
    assert "No job is finished yet" in run("calibration", "-w", tmp_path / "quay").out
    assert run("calibration", "-w", tmp_path / "quay", "--json").json["log_score"] is None


def test_learning_is_no_entry_of_a_job(tmp_path: Path) -> None:
    workshop = made(tmp_path / "quay")
    body = Learnt(sheet=KEY, sheet_sha256="ab" * 32).model_dump(mode="json")
    with pytest.raises(EntryRefused, match="is the workshop's, not a job's"):
        say(workshop, body.pop("kind"), **body)


def test_what_was_learned_is_read_but_once(quay: Path) -> None:
    """An entry of hundreds of numbers is not read anew with every page; it is the very same each time."""
    workshop = open_workshop(quay, now)
    rows = tuple(row.model_copy(update={"place": f"{row.place}.{i}"}) for i in range(4) for row in _rows(workshop))
    body = Learnt(sheet=KEY, sheet_sha256="ab" * 32, rows=rows)
    draft = Draft(id=uuid4(), at=NOON, by="ic", body=body)
    workshop.store.append(workshop.store.journal_of_workshop, [draft])
    first, again = (workshop.workshop_journal().learnt[KEY].body for _ in range(2))
    assert first is again
    assert first == body


def _rows(workshop: Workshop) -> tuple[Strength, ...]:
    return taught(workshop, KEY).learning.learned
