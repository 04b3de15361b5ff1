"""What `--json` prints is what the reference says: the same names, the same types, nothing more and nothing less."""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import pytest

from tests.unit.commands_bench import ROOT, Done, apart, run
from tests.unit.workshop_bench import NUMBER, made, measured, say

if TYPE_CHECKING:
    from collections.abc import Callable
    from pathlib import Path

REFERENCE = ROOT / "docs" / "reference"


def _number(value: object) -> bool:
    return isinstance(value, int | float) and not isinstance(value, bool)


def _whole(value: object) -> bool:
    return isinstance(value, int) and not isinstance(value, bool)


def _text(value: object) -> bool:
    return isinstance(value, str)


def _list(each: Callable[[object], bool], length: int | None = None) -> Callable[[object], bool]:
    return lambda value: isinstance(value, list) and all(map(each, value)) and length in {None, len(value)}


TYPES: dict[str, Callable[[object], bool]] = {
    "text": _text,
    "number": _number,
    "whole number": _whole,
    "whole numbers": _whole,
    "true or false": lambda value: isinstance(value, bool),
    "object": lambda value: isinstance(value, dict),
    "list": _list(lambda value: isinstance(value, dict)),
    "list of text": _list(_text),
    "list of numbers": _list(_number),
    "lists of whole numbers": _list(_whole),
    "three numbers": _list(_number, 3),
    "three whole numbers": _list(_whole, 3),
}
"""The words of the reference's type column, and what they mean."""


def is_of(value: object, words: str) -> bool:
    """Whether a value is what the type column says."""
    usual, _, null = words.partition(" or null")
    assert not null
    return (words.endswith(" or null") and value is None) or TYPES[usual](value)


@dataclass(frozen=True, slots=True)
class Field:
    """One field of a documented object: its type, and the names that its line sets in code type."""

    name: str
    type: str
    named: frozenset[str]


def documented(page: str, heading: str = "", *, table: int = 0) -> dict[str, Field]:
    """A table of a page below this heading, or above all headings; the first one unless told otherwise."""
    text = (REFERENCE / page).read_text(encoding="utf-8")
    section = re.split(r"^## ", text.partition(f"\n## {heading}\n")[2] if heading else text, flags=re.MULTILINE)[0]
    tables = [block for block in section.strip().split("\n\n") if block.startswith("|")]
    fields: dict[str, Field] = {}
    for names, words, says in re.findall(r"^\| (`[^|]+`) \| ([^|]+?) \| (.+) \|$", tables[table], flags=re.MULTILINE):
        for name in re.findall(r"`(\w+)`", names):
            fields[name] = Field(name, words, frozenset(re.findall(r"`([a-z_]+)`", says)))
    assert fields, (page, heading)
    return fields


def agrees(shape: dict[str, Any], fields: dict[str, Field]) -> None:
    """The object has these fields and no others, each of its type; objects inside a line hold what that line names."""
    assert set(shape) == set(fields)
    for name, field in fields.items():
        assert is_of(shape[name], field.type), (name, field.type, shape[name])


def names_agree(objects: list[dict[str, Any]], field: Field) -> None:
    """Objects that are described in one line hold only what that line names."""
    assert objects, field.name
    for each in objects:
        assert set(each) <= field.named, field.name


@pytest.fixture(scope="module")
def quay(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A workshop whose job has answers, a reading, a found part, a price and work by hand."""
    folder = tmp_path_factory.mktemp("shapes") / "quay"
    workshop = made(folder)
    say(workshop, "answered", question="flex_look", answer="cracked or taped")
    say(workshop, "answered", question="stored_wet", answer="yes", manner="told")
    say(workshop, "answered", question="vent_hole_marks", answer="a crust")
    say(workshop, "swept", zone="outside")
    say(workshop, "released", hold="isolated", statements="all")
    measured(workshop, "insulation", "0.4 ± 0.02 Mohm", instrument="tester 1")
    say(workshop, "found", component="spring", condition="broken")
    say(workshop, "identified", component="lagging", presence="missing")
    by_hand = {"operation": "by-hand:polish", "title": "Polish the dome", "minutes": [5.0, 10.0, 20.0]}
    say(workshop, "added", **by_hand, parts_minor=300)
    say(workshop, "disturbed", acts=["power"], words="somebody plugged it in")
    workshop.store.close()
    return folder


@pytest.fixture(scope="module")
def judged(quay: Path) -> Any:
    return run("judge", NUMBER, "-w", quay, "--json").json


@pytest.fixture(scope="module")
def planned(quay: Path) -> Any:
    return run("plan", NUMBER, "-w", quay, "--json").json


@pytest.fixture(scope="module")
def estimated(quay: Path) -> Any:
    return run("estimate", NUMBER, "-w", quay, "--json").json


def test_the_types_column_is_taken_seriously() -> None:
    assert is_of(None, "text or null")
    assert is_of(["a"], "list of text or null")
    wrong = [(True, "number"), (1.0, "whole number"), (None, "text"), ([1], "list of text"), ([1, 2], "three numbers")]
    assert [pair for pair in wrong if is_of(*pair)] == []


def test_judge(judged: dict[str, Any]) -> None:
    agrees(judged, documented("judge-json.md"))
    components = documented("judge-json.md", "One of `components`")
    reasons = documented("judge-json.md", "One of `components`", table=1)
    for each in judged["components"]:
        agrees(each, components)
        assert set(each["why"]) == {"headline", "reasons", "hardly", "unknown", "hangs"}
        for reason in each["why"]["reasons"]:
            agrees(reason, reasons)
        assert each["odds"] is None or sum(each["odds"]) == pytest.approx(1.0)
    assert {each["stage"] for each in judged["components"]} >= {"ink", "pencil", "gone"}
    assert any(each["why"]["reasons"] for each in judged["components"])
    assert judged["next_checks"]
    for each in judged["next_checks"]:
        agrees(each, documented("judge-json.md", "One of `next_checks`"))
    assert judged["behind_holds"]


def test_plan(planned: dict[str, Any]) -> None:
    fields = documented("plan-json.md")
    agrees(planned, fields)
    for name in ("why_off", "marginals", "parts"):
        names_agree(planned[name], fields[name])
    names_agree([planned["shown"]], fields["shown"])
    operation = documented("plan-json.md", "An operation")
    for each in planned["operations"]:
        agrees(each, operation)
        assert each["kind"] in operation["kind"].named | {"by hand"}
        assert each["state"] in operation["state"].named
    kinds = {each["kind"] for each in planned["operations"]}
    assert {"hold", "open", "remove", "treat", "refit", "close", "test", "by hand"} <= kinds
    shown = planned["shown"]
    assert shown["total_minor"] == sum(sum_ for name, sum_ in shown.items() if name != "total_minor")


def test_estimate(estimated: dict[str, Any]) -> None:
    fields = documented("estimate-json.md")
    agrees(estimated, fields)
    names_agree(estimated["drivers"], fields["drivers"])
    names_agree(estimated["hidden"], fields["hidden"])
    for each in estimated["lines"]:
        agrees(each, documented("estimate-json.md", "A line"))
    assert estimated["low_minor"] < estimated["likely_minor"] < estimated["high_minor"]
    assert sum(estimated["counts"]) == estimated["samples"]
    assert len(estimated["edges"]) == len(estimated["counts"]) + 1


def test_show(quay: Path) -> None:
    jobs = run("show", "-w", quay, "--json").json
    agrees(jobs, documented("jobs-json.md", "`brasswright show`"))
    agrees(jobs["jobs"][0], documented("jobs-json.md", "One of `jobs`"))
    job = run("show", NUMBER, "-w", quay, "--json").json
    fields = documented("jobs-json.md", "`brasswright show NUMBER`")
    agrees(job, fields)
    names_agree([job["machine"]], fields["machine"])
    for each in job["holds"]:
        agrees(each, documented("jobs-json.md", "One of `holds`"))
    for each in job["entries"]:
        agrees(each, documented("jobs-json.md", "One of `entries`"))
    first = job["holds"][0]
    assert (first["status"], first["broken_by"]) == ("broken", "somebody plugged it in")


def test_note_and_check(quay: Path) -> None:
    done = run("note", NUMBER, "remarked", "words=a word", "--by", "ic", "-w", quay, "--json")
    for each in done.json:
        agrees(each, documented("jobs-json.md", "`brasswright note`"))
    agrees(run("check", "-w", quay, "--json").json, documented("jobs-json.md", "`brasswright check`"))


def test_paper(quay: Path, tmp_path: Path) -> None:
    done = run("paper", "estimate", NUMBER, "--by", "ic", "--out", tmp_path / "e.pdf", "-w", quay, "--json")
    assert done.code == 0, done.err
    text = (REFERENCE / "paper.md").read_text(encoding="utf-8")
    names = set(re.findall(r"^\| `(\w+)` \| (?:text|number) \|", text, flags=re.MULTILINE))
    assert set(done.json) == names


@pytest.mark.parametrize("command", ["judge", "plan", "estimate"])
def test_one_journal_gives_one_answer_in_every_process(quay: Path, command: str) -> None:
    """Sets fall out in another order when their seed differs: no figure and no order may hang on it."""
    answers: list[Done] = [
        apart(command, NUMBER, "-w", quay, "--json", PYTHONHASHSEED=seed, OMP_NUM_THREADS=threads)
        for seed, threads in (("1", "1"), ("2", "2"))
    ]
    assert answers[0].code == 0
    assert answers[0].json == answers[1].json


def test_another_entry_gives_another_head_everywhere(quay: Path) -> None:
    before = run("estimate", NUMBER, "-w", quay, "--json").json
    run("note", NUMBER, "answered", "question=frost", "answer=yes", "--by", "ic", "-w", quay)
    heads = {
        run(command, NUMBER, "-w", quay, "--json").json["head"] for command in ("show", "judge", "plan", "estimate")
    }
    assert len(heads) == 1
    assert before["head"] not in heads
