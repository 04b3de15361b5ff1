"""A job moved to another version of its sheet: answers that no longer fit are listed and kept."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from brasswright.errors import EntryRefused, NotFound, SheetRefused
from brasswright.workshop.judging import judge
from brasswright.workshop.resheet import misfits, resheet
from tests.unit.commands_bench import run
from tests.unit.workshop_bench import NUMBER, SHEET, made, say, told

if TYPE_CHECKING:
    from pathlib import Path

    from brasswright.workshop.folder import Workshop


@pytest.fixture
def bench(tmp_path: Path) -> Workshop:
    """A workshop whose job has an answer, a condition and a presence; its sheet then gets a newer version."""
    workshop = made(tmp_path / "ws")
    finding, answers = next((key, one.answers) for key, one in told(workshop).sheet.finding.items())
    say(workshop, "answered", question=finding, answer=answers[-1])
    component = next(iter(told(workshop).sheet.component))
    say(
        workshop,
        "fixed",
        component=component,
        condition=told(workshop).sheet.component[component].states[-1],
        reason="seen",
    )
    text = SHEET.replace("version = 1", "version = 2", 1)
    head = f"[finding.{finding}]\n"
    start = text.index(head)
    end = text.find("\n[", start + 1)
    newer = text[:start] + (text[end + 1 :] if end > 0 else "")
    (tmp_path / "ws" / "sheets" / "quay-slice.toml").write_text(newer, encoding="utf-8")
    return workshop


def test_what_no_longer_fits_is_listed_and_kept(bench: Workshop) -> None:
    before = told(bench)
    [question] = before.job.answers
    found = resheet(bench, before, by="ic", reason="a newer version")
    assert [(one.what, one.key) for one in found] == [("answer", question)]
    after = told(bench)
    assert after.sheet.sheet.version == 2
    assert after.job.answers.keys() == before.job.answers.keys()
    assert after.job.fixed == before.job.fixed
    seen = judge(after)
    assert any(question in warning for warning in seen.warnings)


def test_moving_back_brings_every_answer_back(bench: Workshop) -> None:
    before = judge(told(bench)).odds
    resheet(bench, told(bench), by="ic", reason="a newer version")
    (bench.folder / "sheets" / "quay-slice.toml").write_text(SHEET, encoding="utf-8")
    assert resheet(bench, told(bench), by="tw", reason="back") == ()
    assert judge(told(bench)).odds == before


def test_another_kind_of_machine_lists_all_it_does_not_know(bench: Workshop) -> None:
    sheet = told(bench).sheet
    plain = sheet.model_copy(update={"finding": {}, "history": {}, "component": {}})
    found = misfits(told(bench).job, plain)
    assert {one.what for one in found} == {"answer", "condition"}
    assert [one.seq for one in found] == sorted(one.seq for one in found)


def test_the_same_sheet_nobody_and_no_reason_are_refused(bench: Workshop) -> None:
    (bench.folder / "sheets" / "quay-slice.toml").write_text(SHEET, encoding="utf-8")
    with pytest.raises(EntryRefused, match="very sheet"):
        resheet(bench, told(bench), by="ic", reason="again")
    with pytest.raises(EntryRefused, match="nobody"):
        resheet(bench, told(bench), "home-spring-lever", by="zz", reason="another")
    with pytest.raises(EntryRefused):
        resheet(bench, told(bench), "home-spring-lever", by="ic", reason="")
    with pytest.raises(NotFound):
        resheet(bench, told(bench), "no-such", by="ic", reason="another")
    (bench.folder / "sheets" / "quay-slice.toml").write_text("[sheet]\nkey = 1", encoding="utf-8")
    with pytest.raises(SheetRefused):
        resheet(bench, told(bench), by="ic", reason="torn")
    assert told(bench).sheet.sheet.version == 1


def test_the_command_looks_first_and_then_moves(bench: Workshop) -> None:
    looked = run("resheet", NUMBER, "--look", "-w", bench.folder)
    assert looked.code == 0
    assert "is kept" in looked.out
    assert told(bench).sheet.sheet.version == 1
    moved = run("resheet", NUMBER, "--by", "ic", "--reason", "newer", "--json", "-w", bench.folder)
    assert moved.code == 0, moved.err
    assert moved.json[0]["what"] == "answer"
    assert told(bench).sheet.sheet.version == 2
