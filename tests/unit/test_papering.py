"""From a journal to an issued estimate: the paper says what the figures say, and the journal says what the paper is."""

from __future__ import annotations

import hashlib
import io
import json
import re
import shutil
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import TYPE_CHECKING, Any

import pytest
from click.testing import CliRunner
from pypdf import PdfReader

from brasswright import __version__
from brasswright.cli.main import cli
from brasswright.errors import EntryRefused, PaperRefused
from brasswright.journal.entries import Issued
from brasswright.reckoning.money import rounded
from brasswright.workshop.estimating import estimate_job
from brasswright.workshop.folder import found, open_workshop
from brasswright.workshop.papering import set_estimate
from brasswright.workshop.receive import receive
from brasswright.workshop.record import Line, note
from brasswright.workshop.settings import set_values
from brasswright.workshop.shapes import estimate_shape

if TYPE_CHECKING:
    from brasswright.workshop.folder import Workshop
    from brasswright.workshop.papering import Paper

SLICE = Path(__file__).parent.parent / "golden" / "sheets" / "slice.toml"
MORNING = datetime(2026, 3, 4, 9, 10, tzinfo=UTC)
EVENING = MORNING + timedelta(hours=10)
SAID: tuple[dict[str, Any], ...] = (
    {"kind": "answered", "question": "stored_wet", "answer": "yes", "manner": "told", "words": "it sloshed"},
    {"kind": "answered", "question": "flex_look", "answer": "two cores"},
    {"kind": "answered", "question": "fibres_seen", "answer": "frayed edge"},
    {"kind": "answered", "question": "case_rust", "answer": "stains"},
)


def bench(folder: Path, *, use: str = "kitchen", owner: str = "owner-1", sheet: str = "slice") -> Workshop:
    """Tern Quay Bench with job 214 on the slice of a spring-lever machine."""
    workshop = found(folder, lambda: EVENING)
    told: dict[str, str | int | float | bool] = {
        "person.nh": "N. Hale",
        "name": "Tern Quay Bench",
        "address": "By the slip",
        "zone": "Pacific/Auckland",
        "tax_permille": 210,
    }
    set_values(workshop, told, by="nh", at=MORNING)
    (folder / "sheets").mkdir()
    shutil.copy(SLICE, folder / "sheets")
    plate = {"description": "Home spring-lever machine, cream", "year": 1962, "rated_voltage_v": 220.0}
    fields = {"sheet": sheet, "number": 214, "owner": owner, "use": use, "machine": plate}
    receive(workshop, fields, by="nh", at=MORNING)
    workshop.store.put_contact("owner-1", {"name": "Mrs I. Aldous", "address": "7 Net Loft Lane"})
    return workshop


def looked(workshop: Workshop) -> Workshop:
    """The same after a first look."""
    lines = [Line(fields, by="nh", at=MORNING + timedelta(minutes=n)) for n, fields in enumerate(SAID, 1)]
    note(workshop, workshop.open_job(214), lines)
    return workshop


def figures_of(paper: Paper) -> dict[str, int | float | str]:
    """The figures in a paper's entry."""
    assert isinstance(paper.entry.body, Issued)
    return paper.entry.body.figures


def text(pdf: bytes) -> str:
    """All words of a paper, every run of white space as one space."""
    return " ".join(" ".join(page.extract_text() for page in PdfReader(io.BytesIO(pdf)).pages).split())


def printed(minor: int) -> str:
    """Whole units as the paper prints them, after white space was made plain."""
    return f"{rounded(minor / 100):,}".replace(",", " ")


@pytest.fixture(scope="module")
def workshop(tmp_path_factory: pytest.TempPathFactory) -> Workshop:
    return looked(bench(tmp_path_factory.mktemp("quay") / "ws"))


@pytest.fixture(scope="module")
def before(workshop: Workshop) -> dict[str, Any]:
    shape: dict[str, Any] = json.loads(json.dumps(estimate_shape(estimate_job(workshop, workshop.open_job(214)))))
    return shape


@pytest.fixture(scope="module")
def issued(workshop: Workshop, before: dict[str, Any]) -> Any:
    assert before
    return set_estimate(workshop, workshop.open_job(214), by="nh")


def test_one_to_three_pages_named_for_the_machine_and_its_owner(issued: Any) -> None:
    reader = PdfReader(io.BytesIO(issued.pdf))
    assert 1 <= len(reader.pages) <= 3
    meta = reader.metadata
    assert meta is not None
    assert meta.title == "Estimate 214-1, Your home spring-lever machine of 1962"
    said = text(issued.pdf)
    for words in ("For Mrs I. Aldous", "Kitchen use, 220 V on its plate. Cream.", "Tern Quay Bench", "By the slip"):
        assert words in said
    assert "Net Loft" not in said


def test_sums_on_paper_are_the_estimates(issued: Any, before: dict[str, Any]) -> None:
    said = text(issued.pdf)
    low, likely, high = (printed(before[key]) for key in ("low_minor", "likely_minor", "high_minor"))
    assert f"Most likely {likely}, eight in ten between {low} and {high} EUR, 21 % tax included." in said
    assert f"{low} {likely} {high}" in said
    assert f"Above {high} EUR we stop and ask." in said
    assert f"Above {high} EUR stop and ask me." in said
    assert f"may cost about {printed(before['risk_left_minor'])} EUR later" in said
    for line in before["lines"]:
        if printed(line["high_minor"]) != "0":
            sums = " ".join(printed(line[key]) for key in ("low_minor", "likely_minor", "high_minor"))
            assert sums in said, line["key"]


def test_head_date_and_validity(issued: Any, before: dict[str, Any]) -> None:
    said = text(issued.pdf)
    assert f"up to head {before['head'][:12]}, entry 5." in said
    assert "4 March 2026, good until 3 April 2026" in said


def test_what_it_rests_on_is_what_the_journal_says(issued: Any) -> None:
    said = text(issued.pdf)
    assert re.search(r"\b\d+ of 12 parts seen", said)
    assert "flex and plug (two core)" in said
    assert "Nobody has looked inside the boiler yet." in said
    assert "Told, and taken as so: it sloshed." in said


def test_it_never_calls_the_machine_safe_and_is_an_estimate_throughout(issued: Any) -> None:
    said = text(issued.pdf).replace("safety valve", "").replace("Safety valve", "")
    assert not re.search(r"\bsafe(ly|ty)?\b", said, re.IGNORECASE)
    assert not re.search(r"\b(quotation|quote|invoice|offer)\b", said, re.IGNORECASE)
    assert "This is an estimate" in said


def test_cautions_and_bounds_stand_on_it(issued: Any) -> None:
    said = text(issued.pdf)
    for words in ("count as asbestos until a laboratory", "may hold lead", "flushed and heated through", "unplugged"):
        assert words in said
    assert "flex and plug (two core, seen; line" in said
    assert "No wish and no budget removes them." in said
    for test in ("protective earth continuity", "safety valve on the test bench", "second heat cycle"):
        assert test in said
    assert "Pack it up as it is, labelled not for use." in said


def test_the_entry_says_what_the_paper_is(workshop: Workshop, issued: Any, before: dict[str, Any]) -> None:
    body = issued.entry.body
    assert isinstance(body, Issued)
    assert body.sha256 == issued.sha256 == hashlib.sha256(issued.pdf).hexdigest()
    assert workshop.store.paper(body.sha256) == issued.pdf
    assert body.head == before["head"]
    assert body.seed == before["seed"]
    assert body.version == __version__
    told = {key: body.figures[key] for key in ("low_minor", "likely_minor", "high_minor", "risk_left_minor")}
    assert told == {key: before[key] for key in told}
    assert body.settings["tax_permille"] == 210
    assert "Aldous" not in issued.entry.model_dump_json()


def test_the_screen_shows_the_papers_figures_after_it_went_out(workshop: Workshop, issued: Any) -> None:
    after = estimate_job(workshop, workshop.open_job(214)).estimate
    assert after.high_minor == issued.entry.body.figures["high_minor"]
    assert after.seed == issued.entry.body.seed


def test_the_same_journal_gives_the_same_bytes_on_another_day(tmp_path: Path) -> None:
    with looked(bench(tmp_path / "first")).store:
        shutil.copytree(tmp_path / "first", tmp_path / "second")
    first, second = (
        set_estimate(opened, opened.open_job(214), by="nh")
        for opened in (
            open_workshop(tmp_path / "first", lambda: EVENING),
            open_workshop(tmp_path / "second", lambda: EVENING + timedelta(days=3)),
        )
    )
    assert first.pdf == second.pdf
    assert first.entry.at != second.entry.at


def test_nothing_new_means_no_new_paper(tmp_path: Path) -> None:
    workshop = looked(bench(tmp_path / "ws"))
    first = set_estimate(workshop, workshop.open_job(214), by="nh")
    again = set_estimate(workshop, workshop.open_job(214), by="nh")
    assert again == first
    assert workshop.open_job(214).job.seq == first.entry.seq
    note(workshop, workshop.open_job(214), [Line({"kind": "remarked", "words": "The owner rang."}, by="nh")])
    second = set_estimate(workshop, workshop.open_job(214), by="nh")
    assert (first.number, second.number) == ("214-1", "214-2")
    assert second.pdf != first.pdf
    set_values(workshop, {"labour_minor_per_hour": 9600}, by="nh")
    third = set_estimate(workshop, workshop.open_job(214), by="nh")
    assert third.number == "214-3"
    sums = [int(figures_of(paper)["likely_minor"]) for paper in (second, third)]
    assert sums[1] > sums[0]


def test_a_struck_issue_keeps_its_number(tmp_path: Path) -> None:
    workshop = bench(tmp_path / "ws")
    first = set_estimate(workshop, workshop.open_job(214), by="nh")
    struck = {"kind": "withdrew", "entry": str(first.entry.id), "reason": "wrong owner"}
    note(workshop, workshop.open_job(214), [Line(struck, by="nh")])
    assert set_estimate(workshop, workshop.open_job(214), by="nh").number == "214-2"


def test_an_untouched_machine_and_an_owner_nobody_knows(tmp_path: Path) -> None:
    said = text(set_estimate_of(bench(tmp_path / "ws", owner="", use="not said")))
    assert "For the owner. Use not said yet" in said
    assert "None of its 12 parts has been looked at yet" in said
    assert "You have not said where it will stand." in said
    assert "as far as the lagging" not in said


def set_estimate_of(workshop: Workshop) -> bytes:
    return set_estimate(workshop, workshop.open_job(214), by="nh").pdf


def test_the_whole_packaged_sheet_fits_on_three_pages_with_its_drawing(tmp_path: Path) -> None:
    pdf = set_estimate_of(bench(tmp_path / "ws", sheet="home-spring-lever"))
    assert len(PdfReader(io.BytesIO(pdf)).pages) <= 3
    said = text(pdf)
    assert "Solid line: seen or measured." in said
    for word in ("sound", "will serve", "poor", "failed", "likely poor", "not known"):
        assert word in said


def test_a_machine_for_a_shelf_is_not_tested_but_disabled(tmp_path: Path) -> None:
    said = text(set_estimate_of(looked(bench(tmp_path / "ws", use="display"))))
    assert "For display only it is disabled, labelled, and never filled, heated or plugged in." in said
    assert "heat cycle" not in said


def test_a_name_that_cannot_be_set_is_refused_and_nothing_is_issued(tmp_path: Path) -> None:
    workshop = bench(tmp_path / "ws")
    workshop.store.put_contact("owner-1", {"name": "山田"})
    with pytest.raises(PaperRefused, match="U\\+5C71"):
        set_estimate(workshop, workshop.open_job(214), by="nh")
    assert workshop.open_job(214).job.seq == 1


def test_a_stranger_issues_nothing(tmp_path: Path) -> None:
    workshop = bench(tmp_path / "ws")
    with pytest.raises(EntryRefused):
        set_estimate(workshop, workshop.open_job(214), by="stranger")
    assert workshop.open_job(214).job.seq == 1


def test_a_cheaper_first_step_is_priced_as_opening_and_closing_again(tmp_path: Path) -> None:
    """By hand from the sheet: case and boiler end, means of their minutes, at 48 an hour; a gasket; tax."""
    workshop = looked(bench(tmp_path / "ws"))
    fixed = {"low_minor": 500, "likely_minor": 500, "high_minor": 500}
    laboratory = {"kind": "priced", "item": "asbestos_clearance", "currency": "EUR", **fixed}
    note(workshop, workshop.open_job(214), [Line(laboratory, by="nh")])
    minutes = ((6 + 10 + 25) + (6 + 10 + 20) + (15 + 25 + 60) + (15 + 20 + 35)) / 3
    prompts = sum(
        prompt.before in {"case_lifted", "boiler_end"} for prompt in workshop.open_job(214).sheet.record.values()
    )
    minutes += prompts * (0.5 + 1 + 3) / 3
    money = (minutes * 48 / 60 + 6 + 5) * 1.21
    asked = f"then open the boiler and look inside, about {money:.0f} EUR; then a new estimate."
    said = text(set_estimate_of(workshop))
    found_in = re.search(r"Clear the presumed asbestos, then open (.+?), about ([\d ]+) EUR; then a new estimate", said)
    assert found_in is not None, said
    assert abs(int(found_in[2]) - money) < 1.5, asked


def test_the_command_writes_the_file_and_says_where(tmp_path: Path) -> None:
    folder = tmp_path / "ws"
    looked(bench(folder))
    ran = CliRunner().invoke(cli, ["paper", "estimate", "214", "-w", str(folder)])
    assert ran.exit_code == 0, ran.output
    path = folder / "papers-out" / "estimate-214-1.pdf"
    digest = hashlib.sha256(path.read_bytes()).hexdigest()
    count = len(PdfReader(path).pages)
    assert str(path) in ran.output
    assert digest in ran.output
    assert f"{count} page" in ran.output
    assert "entry 6 of job 214" in ran.output
    other = tmp_path / "deep" / "own.pdf"
    asked = ["paper", "estimate", "214", "-w", str(folder), "--out", str(other), "--json"]
    shape = json.loads(CliRunner().invoke(cli, asked).output)
    assert other.read_bytes() == path.read_bytes()
    told = {"number": "214-1", "file": str(other), "pages": count, "sha256": digest, "entry": 6}
    assert shape == {"shape": "paper/1", "paper": "estimate", **told}
