"""Taking a machine in; the workshop's people, settings and contacts; what there is, in words and shapes."""

from __future__ import annotations

import json
from datetime import timedelta
from typing import TYPE_CHECKING, Any
from uuid import UUID

import pytest

from brasswright.errors import AlreadyExists, BrasswrightError, EntryRefused, NotFound, SheetRefused
from brasswright.store.backup import backup, restore
from brasswright.store.bundle import export, import_
from brasswright.store.folder import DATABASE
from brasswright.workshop.folder import Workshop, found, open_workshop
from brasswright.workshop.judging import judge
from brasswright.workshop.receive import arrival_from, receive
from brasswright.workshop.settings import read_settings, set_values
from brasswright.workshop.showing import job_shape, jobs_shape, known_of, stands_at
from brasswright.workshop.telling import entry_words, odds_words
from tests.builders import NOON
from tests.unit.workshop_bench import EVENING, NUMBER, SHEET, made, measured, now, say, told

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

MACHINE = {"description": "small plain-lever machine"}


@pytest.fixture
def bench(tmp_path: Path) -> Iterator[Workshop]:
    workshop = made(tmp_path / "quay")
    yield workshop
    workshop.store.close()


def take_in(bench: Workshop, **fields: Any) -> UUID:
    return receive(bench, {"sheet": "quay-slice", "machine": MACHINE} | fields, by="tw")


# ---------------------------------------------------------------------------------------------------------- receiving


def test_numbers_follow_the_highest_and_are_never_given_twice(bench: Workshop) -> None:
    take_in(bench)
    take_in(bench, number=7)
    take_in(bench)
    assert [row.number for row in bench.store.jobs()] == [7, 31, 32, 33]
    with pytest.raises(AlreadyExists, match=r"job 31 already.*34 is free"):
        take_in(bench, number=31)
    assert len(bench.store.jobs()) == 4


@pytest.mark.parametrize("number", ["", None])
def test_an_arrival_sent_twice_is_one_job(bench: Workshop, number: object) -> None:
    ids = (UUID(int=1), UUID(int=2))
    fields = {"sheet": "quay-slice", "machine": MACHINE, "number": number}
    for _ in range(2):
        assert receive(bench, fields, by="tw", ids=ids) == ids[0]
    assert [row.number for row in bench.store.jobs()] == [31, 32]
    assert bench.store.read(ids[0])[0].id == ids[1]


@pytest.mark.parametrize(
    ("fields", "words"),
    [
        ({"number": "seven"}, "number: it should be a valid integer"),
        ({"number": -7}, "greater than or equal to 1"),
        ({"machine": {}}, "machine.description: is missing"),
        ({"machine": MACHINE | {"rated_voltage_v": 5000.0}}, "rated_voltage_v"),
        ({"sheet": "quay-slise"}, "Allowed: quay-slice, "),
        ({"sheet": ""}, "There is no sheet ''"),
        ({"sheet": "../quay/sheets/quay-slice"}, "There is no sheet"),
        ({"use": "office"}, "use: it should be 'kitchen', 'cafe', 'display' or 'not said'"),
    ],
)
def test_an_arrival_that_cannot_be_is_refused(bench: Workshop, fields: dict[str, Any], words: str) -> None:
    with pytest.raises(BrasswrightError) as refusal:
        take_in(bench, **fields)
    assert words in str(refusal.value)
    assert len(bench.store.jobs()) == 1
    assert len(list(bench.store.pinned.all())) == 1


def test_a_stranger_takes_nothing_in(bench: Workshop) -> None:
    with pytest.raises(EntryRefused, match=r"nobody of this workshop.*Got xx.*ic, tw"):
        receive(bench, {"sheet": "quay-slice", "machine": MACHINE}, by="xx")


def test_nothing_arrives_tomorrow(bench: Workshop) -> None:
    with pytest.raises(EntryRefused, match="in the future"):
        receive(bench, {"sheet": "quay-slice", "machine": MACHINE}, by="tw", at=EVENING + timedelta(days=1))
    assert len(bench.store.jobs()) == 1


def test_a_slip_in_an_own_sheet_names_its_line_and_opens_no_job(bench: Workshop) -> None:
    line = next(number for number, text in enumerate(SHEET.splitlines(), 1) if "years_idle" in text and "of =" in text)
    wrong = SHEET.splitlines()
    wrong[line - 1] = wrong[line - 1].replace("years_idle", "years_idel")
    (bench.folder / "sheets" / "slipped.toml").write_text("\n".join(wrong), encoding="utf-8")
    with pytest.raises(SheetRefused) as refusal:
        take_in(bench, sheet="slipped")
    assert "years_idel" in str(refusal.value)
    assert any(problem.where.startswith(f"slipped.toml, line {line}") for problem in refusal.value.problems)
    assert len(bench.store.jobs()) == 1


def test_a_job_keeps_the_sheet_it_came_with(bench: Workshop) -> None:
    path = bench.folder / "sheets" / "quay-slice.toml"
    path.write_text(SHEET.replace('name = "Spring"', 'name = "Coil"'), encoding="utf-8")
    assert told(bench).sheet.component["spring"].name == "Spring"
    take_in(bench)
    assert bench.open_job(32).sheet.component["spring"].name == "Coil"


def test_an_arrival_is_read_from_json_over_many_lines_or_one(tmp_path: Path) -> None:
    arrival = {"kind": "arrived", "machine": MACHINE, "sheet": "quay-slice", "by": "tw", "at": NOON.isoformat()}
    for indent in (None, 2):
        path = tmp_path / "arrival.json"
        path.write_text(json.dumps(arrival, indent=indent), encoding="utf-8")
        read = arrival_from(path)
        assert (read.by, read.at, read.fields["machine"]) == ("tw", NOON, MACHINE)
    path.write_text('{"kind": "remarked", "words": "a word"}', encoding="utf-8")
    with pytest.raises(EntryRefused, match="does not begin with an arrival"):
        arrival_from(path)
    path.write_text('{"kind": "arrived", "machine": ', encoding="utf-8")
    with pytest.raises(EntryRefused, match=r"arrival\.json, line 1"):
        arrival_from(path)


def test_a_job_that_is_not_there_is_answered_with_those_that_are(bench: Workshop) -> None:
    with pytest.raises(NotFound, match=r"no job 99.*Allowed: 31"):
        bench.open_job(99)


# ------------------------------------------------------------------------------------------------- settings, contacts


def test_settings_are_kept_in_their_own_type(bench: Workshop) -> None:
    values: dict[str, str | int | float | bool] = {
        "labour_minor_per_hour": "5200",
        "price_factor": "1.15",
        "zone": "Europe/Dublin",
        "currency": "GBP",
        "tax_permille": "230",
        "person.nh": "N. Hale",
    }
    set_values(bench, values, by="tw")
    settings = read_settings(open_workshop(bench.folder, now))
    prices = settings.prices
    assert (prices.labour_minor_per_hour, prices.currency, prices.tax_permille) == (5200, "GBP", 230)
    assert prices.minor_per_unit == pytest.approx(115.0)
    assert settings.people == {"ic": "Ines Calder", "tw": "Tom Wray", "nh": "N. Hale"}
    summer = NOON.replace(month=7)
    assert settings.local(summer).hour == summer.hour + 1


@pytest.mark.parametrize(
    ("key", "value", "words"),
    [
        ("labor", "48", "There is no setting 'labor'"),
        ("labour_minor_per_hour", "48.50", "int: labour rate"),
        ("labour_minor_per_hour", "-1", "0 or more"),
        ("price_factor", "nan", "0 or more"),
        ("price_factor", "inf", "0 or more"),
        ("mains_voltage_v", "230 V", "float: mains voltage"),
        ("zone", "Tern Quay", "IANA"),
        ("currency", "euros", "three capitals"),
        ("person.", "Nobody", "person's key"),
        ("person.N H", "N. Hale", "person's key"),
        ("person.nh", " ", "has a name"),
    ],
)
def test_a_setting_that_cannot_be_is_refused_with_all_beside_it(
    bench: Workshop, key: str, value: str, words: str
) -> None:
    before = bench.workshop_journal().head
    with pytest.raises(EntryRefused) as refusal:
        set_values(bench, {"name": "Another", key: value}, by="ic")
    assert words in str(refusal.value)
    assert bench.workshop_journal().head == before


def test_only_people_of_the_workshop_set_anything(bench: Workshop, tmp_path: Path) -> None:
    for by in ("", "xx"):
        with pytest.raises(EntryRefused, match=r"nobody of this workshop.*ic, tw"):
            set_values(bench, {"name": "Mine"}, by=by)
    with pytest.raises(EntryRefused, match="nobody of this workshop"):
        set_values(bench, {"person.xx": "Myself"}, by="xx")
    empty = found(tmp_path / "new", now)
    set_values(empty, {"person.xx": "Myself"}, by="xx")
    assert read_settings(empty).people == {"xx": "Myself"}


def test_an_erased_contact_is_in_no_file_of_the_workshop_and_no_bundle(bench: Workshop, tmp_path: Path) -> None:
    name = "Pellow-of-Slip-Cottage"
    receive(bench, {"sheet": "quay-slice", "machine": MACHINE, "owner": "owner-4"}, by="tw")
    bench.store.put_contact("owner-4", {"name": name})
    export(bench.store, bench.job_id(32), tmp_path / "job.zip")
    assert name.encode() not in (tmp_path / "job.zip").read_bytes()
    assert bench.store.erase_contact("owner-4")
    assert bench.store.contact("owner-4") is None
    bench.store.close()
    for path in bench.folder.rglob("*"):
        assert path.is_dir() or name.encode() not in path.read_bytes(), path


# ------------------------------------------------------------------------------------------------ keeping and carrying


def test_a_bundle_carries_a_job_to_another_workshop_and_a_backup_carries_everything(
    bench: Workshop, tmp_path: Path
) -> None:
    say(bench, "answered", question="flex_look", answer="two cores")
    export(bench.store, told(bench).id, tmp_path / "job.zip")
    abroad = found(tmp_path / "abroad", now)
    import_(abroad.store, tmp_path / "job.zip")
    assert job_shape(abroad.open_job(NUMBER)) == job_shape(told(bench))
    backup(bench.folder, tmp_path / "saved.zip", clock=now)
    restore(tmp_path / "saved.zip", tmp_path / "again", clock=now)
    again = open_workshop(tmp_path / "again", now)
    assert job_shape(again.open_job(NUMBER)) == job_shape(told(bench))
    assert (tmp_path / "again" / DATABASE).is_file()


# --------------------------------------------------------------------------------------------------- showing, telling


def test_a_job_says_where_it_stands(bench: Workshop) -> None:
    assert stands_at(told(bench)) == "Hold 1 stands, isolated and proved dead"
    say(bench, "released", hold="isolated", statements="all")
    assert stands_at(told(bench)).startswith("Hold 2 stands")
    say(bench, "sent", what="the machine, as display only")
    assert stands_at(told(bench)) == "Sent: the machine, as display only"


def test_shapes_hold_every_entry_struck_ones_too(bench: Workshop) -> None:
    entry = say(bench, "answered", question="flex_look", answer="two cores")
    say(bench, "withdrew", entry=str(entry.id), reason="a slip")
    shape = json.loads(json.dumps(job_shape(told(bench))))
    assert [(each["seq"], each["struck"]) for each in shape["entries"]] == [(1, False), (2, True), (3, False)]
    assert [hold["number"] for hold in shape["holds"]] == list(range(1, 11))
    row = jobs_shape(bench)["jobs"][0]
    assert (row["number"], row["entries"], row["head"]) == (NUMBER, 3, shape["head"])


def test_known_counts_what_was_seen_and_what_is_only_likely(bench: Workshop) -> None:
    fresh = known_of(judge(told(bench)))
    assert (fresh.inked, fresh.pencilled, fresh.of) == (0, 0, 12)
    say(bench, "found", component="element", condition="damp")
    say(bench, "answered", question="vent_hole_marks", answer="a crust")
    after = known_of(judge(told(bench)))
    assert after.inked >= 1
    assert after.pencilled + after.inked > 1


def test_every_kind_of_entry_is_told_in_words(bench: Workshop) -> None:
    say(bench, "released", hold="isolated", statements="all")
    reading = measured(bench, "earth", "0.1 ± 0.01 ohm", instrument="tester 1")
    entries = {
        "told": say(bench, "answered", question="stored_wet", answer="yes", manner="told", words="it sloshed"),
        "leaning": say(bench, "answered", question="frost", likelihood={"no": 0.3, "yes": 0.7}),
        "nothing else seen": say(bench, "swept", zone="outside"),
        "tester 1": reading,
        "passed": say(bench, "proved", test="earth_continuity"),
        "set to tired": say(bench, "fixed", component="spring", condition="tired", reason="felt it"),
        "found damp": say(bench, "found", component="element", condition="damp"),
        "started: Case off": say(bench, "started", operation="open:case_lifted", title="Case off"),
        "finished": say(bench, "stopped", operation="open:case_lifted", finished=True),
        "Spring to tray 2": say(bench, "moved", component="spring", to="tray 2"),
        "price of new spring: 12.00": say(
            bench, "priced", item="new_spring", low_minor=900, likely_minor=1200, high_minor=2000
        ),
        "disturbed: knocked over": say(bench, "disturbed", acts=["lever"], words="knocked over"),
        "a word": say(bench, "remarked", words="a word"),
    }
    sheet = told(bench).sheet
    for words, entry in entries.items():
        assert words in entry_words(entry, sheet)


def test_odds_are_told_with_how_they_are_known(bench: Workshop) -> None:
    assert "not known; from its kind" in odds_words(judge(told(bench)).odds["spring"])
    say(bench, "found", component="element", condition="damp")
    say(bench, "identified", component="lagging", presence="missing")
    odds = judge(told(bench)).odds
    assert odds_words(odds["element"]) == "damp, set by ic (seen)"
    assert odds_words(odds["lagging"]) == "missing"
    assert "tired 0." in odds_words(odds["spring"], figures=True)
