"""The commands as a person types them: what they print where, and how they end."""

from __future__ import annotations

import json
import shutil
import zipfile
from datetime import UTC, datetime, timedelta
from typing import TYPE_CHECKING, Any

import pytest

from tests.builders import picture
from tests.unit.commands_bench import Done, apart, run
from tests.unit.workshop_bench import NUMBER, SHEET, file_lines, made, say

if TYPE_CHECKING:
    from pathlib import Path


@pytest.fixture(scope="module")
def filled(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A workshop with a few entries; tests read it and copy it."""
    folder = tmp_path_factory.mktemp("bench") / "quay"
    workshop = made(folder)
    say(workshop, "answered", question="flex_look", answer="cracked or taped")
    say(workshop, "answered", question="stored_wet", answer="yes", manner="told")
    say(workshop, "released", hold="isolated", statements="all")
    say(workshop, "measured", reading="element_ohms", text="48.4 ± 0.2 ohm", instrument_kind="multimeter")
    kept = workshop.store.put_photograph(picture())
    photo = {"sha256": kept.sha256, "media_type": kept.media_type, "bytes": kept.size}
    say(workshop, "photographed", **photo, title="the plate")
    workshop.store.put_contact("owner-1", {"name": "M. Pellow"})
    workshop.store.close()
    return folder


@pytest.fixture
def quay(filled: Path, tmp_path: Path) -> Path:
    """A copy of that workshop that a test may change."""
    return shutil.copytree(filled, tmp_path / "quay")


def journal(folder: Path) -> list[dict[str, Any]]:
    entries: list[dict[str, Any]] = run("show", "-w", folder, NUMBER, "--json").json["entries"]
    return entries


def refused(done: Done, *words: str) -> None:
    """It ended with 1, said why on standard error only, and what was to be said is there."""
    assert (done.code, done.out) == (1, "")
    assert done.err.startswith("Refused. ")
    assert "Traceback" not in done.err
    for each in words:
        assert each in done.err


# -------------------------------------------------------------------------------------------------- making a workshop


def test_from_nothing_to_a_job(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    folder = tmp_path / "bench"
    begun = run("init", folder, "--person", "nh=N. Hale", "name=Tern Quay Bench", "tax_permille=230")
    assert (begun.code, begun.err) == (0, "")
    assert f"brasswright new --workshop {folder}" in begun.out
    monkeypatch.setenv("BRASSWRIGHT_WORKSHOP", str(folder))
    settings = run("set", "--json").json
    assert (settings["name"], settings["tax_permille"], settings["person.nh"]) == ("Tern Quay Bench", 230, "N. Hale")
    assert settings["currency"] == "EUR"
    new = run("new", "--description", "lever machine", "--volts", 220, "--use", "cafe", "--owner", "owner-1")
    assert new.code == 0
    assert "Job 1 is open" in new.out
    shown = run("show", 1, "--json").json
    assert (shown["machine"]["rated_voltage_v"], shown["use"], shown["owner"]) == (220.0, "cafe", "owner-1")
    assert shown["sheet"] == "home-spring-lever"
    assert shown["entries"][0]["by"] == "nh"


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["--person", "nh=N. Hale", "labour=48"], "There is no setting 'labour'"),
        (["--person", "nh=N. Hale", "tax_permille=23 %"], "tax_permille"),
        (["--person", "N H=N. Hale"], "person's key"),
    ],
)
def test_a_workshop_that_is_refused_is_not_begun(tmp_path: Path, words: list[str], said: str) -> None:
    refused(run("init", tmp_path / "bench", *words), said)
    assert not (tmp_path / "bench").exists()


def test_a_folder_that_holds_something_is_not_made_a_workshop(quay: Path) -> None:
    refused(run("init", quay, "--person", "nh=N. Hale"), "not empty", str(quay), "Choose an empty folder")


def test_settings_are_set_by_a_person_of_the_workshop(quay: Path) -> None:
    refused(run("set", "-w", quay, "name=Another"), "nobody of this workshop", "ic, tw")
    assert run("set", "-w", quay, "name=Another", "--by", "tw").code == 0
    assert "name = Another" in run("set", "-w", quay).out


# ------------------------------------------------------------------------------------------------------- wrong usage

WRONG = {
    "no such command": ["polish"],
    "no such option": ["show", "--colour"],
    "no number": ["note"],
    "a number in words": ["show", "thirty-one"],
    "no person": ["init", "somewhere"],
    "a setting without a value": ["set", "name"],
    "a field without a value": ["note", NUMBER, "remarked", "words"],
    "no JSON": ["note", NUMBER, "disturbed", "acts:=[leak"],
    "no moment": ["note", NUMBER, "remarked", "words=x", "--at", "yesterday"],
    "a moment without offset": ["note", NUMBER, "remarked", "words=x", "--at", "2026-03-02T09:00:00"],
    "another place": ["new", "--use", "office"],
    "fewer than no checks": ["judge", NUMBER, "--next", "-1"],
}


@pytest.mark.parametrize("words", list(WRONG.values()), ids=list(WRONG))
def test_wrong_usage_ends_with_two_and_says_how_it_is_written(
    filled: Path, monkeypatch: pytest.MonkeyPatch, words: list[object]
) -> None:
    monkeypatch.setenv("BRASSWRIGHT_WORKSHOP", str(filled))
    done = run(*words)
    assert (done.code, done.out) == (2, "")
    assert "Usage: brasswright" in done.err
    assert "Error: " in done.err


# ----------------------------------------------------------------------------------------------------------- reading

READING = [
    ["show"],
    ["show", NUMBER],
    ["judge", NUMBER],
    ["plan", NUMBER],
    ["estimate", NUMBER],
    ["set"],
    ["contact"],
    ["contact", "owner-1"],
    ["check"],
]


@pytest.mark.parametrize("words", READING, ids=lambda words: "-".join(map(str, words)))
def test_every_reading_command_prints_words_or_json_and_changes_nothing(quay: Path, words: list[object]) -> None:
    before = journal(quay)
    plain = run(*words, "-w", quay)
    assert (plain.code, plain.err) == (0, "")
    assert plain.out.strip()
    shape = run(*words, "-w", quay, "--json")
    assert (shape.code, shape.err) == (0, "")
    assert "no JSON" not in json.dumps(shape.json)
    assert journal(quay) == before


@pytest.mark.parametrize("command", ["show", "judge", "plan", "estimate"])
def test_a_job_that_is_not_there(filled: Path, command: str) -> None:
    refused(run(command, 99, "-w", filled), "There is no job 99", "Allowed: 31")


@pytest.mark.parametrize("command", [["show"], ["check"], ["contact"], ["judge", 1], ["backup", "x.zip"]])
def test_a_folder_that_is_no_workshop(tmp_path: Path, command: list[object]) -> None:
    refused(run(*command, "-w", tmp_path), "no workshop in this folder", str(tmp_path), "brasswright init")
    assert list(tmp_path.iterdir()) == []


def test_a_component_that_is_not_there(filled: Path) -> None:
    refused(run("judge", NUMBER, "--why", "boiler_tap", "-w", filled), "no component 'boiler_tap'", "boiler_shell")


def test_why_names_the_evidence_and_figures_are_there_on_request(filled: Path) -> None:
    said = run("judge", NUMBER, "--why", "flex", "-w", filled).out
    assert "cracked or taped" in said
    assert "0." not in said
    assert "0." in run("judge", NUMBER, "--figures", "-w", filled).out


def test_held_work_in_the_plan_carries_its_hold_points(filled: Path) -> None:
    said = run("plan", NUMBER, "-w", filled).out
    taken_off = next(line for line in said.splitlines() if "Take off: Safety valve" in line)
    assert "[holds 1, 2]" in taken_off


# ---------------------------------------------------------------------------------------------------------- entering


def test_one_thing_in_words(quay: Path) -> None:
    at = (datetime.now(tz=UTC) - timedelta(hours=1)).isoformat(timespec="seconds")
    lean = 'likelihood:={"no": 0.4, "yes": 0.6}'
    assert run("note", NUMBER, "answered", "question=frost", lean, "--by", "tw", "-w", quay).code == 0
    done = run("note", NUMBER, "remarked", "words=a = b", "--by", "ic", "--at", at, "-w", quay)
    assert (done.code, done.err) == (0, "")
    first, second = journal(quay)[-2:]
    assert f"numbers {second['seq']} to {second['seq']}" in done.out
    assert (first["by"], first["body"]["likelihood"]) == ("tw", {"no": 0.4, "yes": 0.6})
    assert (second["by"], second["body"]["words"]) == ("ic", "a = b")
    assert datetime.fromisoformat(second["at"]) == datetime.fromisoformat(at)


def test_a_file_of_lines_with_pictures_beside_it(quay: Path, tmp_path: Path) -> None:
    day = tmp_path / "day"
    day.mkdir()
    (day / "plate.png").write_bytes(picture("teal"))
    path = file_lines(
        day / "monday",
        json.dumps({"kind": "swept", "zone": "outside", "by": "ic"}),
        json.dumps({"kind": "photographed", "file": "plate.png", "title": "plate", "by": "tw"}),
    )
    for suffix in ("", ".jsonl"):
        path = path.rename(day / f"monday{suffix}")
        done = run("note", NUMBER, path, "-w", quay, "--json")
        assert done.code == 0
        assert [each["seq"] for each in done.json] == [len(journal(quay)) - 1, len(journal(quay))]
        assert [each["digest"] for each in done.json][-1] == run("show", NUMBER, "-w", quay, "--json").json["head"]


BAD = {
    "an unknown unit": (["measured", "reading=earth", "text=0.1 parsec"], "no unit of resistance"),
    "two readings of one number": (["measured", "reading=earth", "text=1,234 ohm"], "1.234 or as 1234"),
    "negative ohms": (["measured", "reading=earth", "text=-4 ohm"], "cannot be that low"),
    "a thousand times off": (["measured", "reading=element_ohms", "text=48.4 kohm"], "Was 48.4 ohm meant?"),
    "a date in the future": (["remarked", "words=x", "--at", "2101-01-01T00:00:00+00:00"], "in the future"),
    "another job": (["remarked", "words=x", "job=32"], "for another job"),
    "held work": (["started", "operation=open:boiler_end", "title=End off"], "To release: "),
    "nobody": (["remarked", "words=x", "--by", "xx"], "Allowed: ic, tw"),
    "an unknown kind": (["polished", "words=x"], "no kind of entry 'polished'"),
    "a missing file": (["nowhere.jsonl"], "nowhere.jsonl"),
}


@pytest.mark.parametrize(("words", "said"), list(BAD.values()), ids=list(BAD))
def test_what_cannot_be_is_refused_and_stores_nothing(quay: Path, words: list[str], said: str) -> None:
    before = journal(quay)
    refused(run("note", NUMBER, *words, *([] if "--by" in words else ["--by", "ic"]), "-w", quay), said)
    assert journal(quay) == before


def test_a_file_cut_off_in_the_middle_names_its_line_and_enters_nothing(quay: Path, tmp_path: Path) -> None:
    whole = json.dumps({"kind": "remarked", "words": "a word", "by": "ic"})
    path = file_lines(tmp_path / "day.jsonl", whole, whole, whole)
    path.write_bytes(path.read_bytes()[:-20])
    before = journal(quay)
    refused(run("note", NUMBER, path, "-w", quay), "day.jsonl, line 3", "nothing was entered")
    assert journal(quay) == before


def test_an_empty_file_is_refused(quay: Path, tmp_path: Path) -> None:
    (tmp_path / "day.jsonl").write_text("", encoding="utf-8")
    refused(run("note", NUMBER, tmp_path / "day.jsonl", "-w", quay), "holds no line")


def test_a_confirmed_reading_is_taken(quay: Path) -> None:
    odd = ["note", NUMBER, "measured", "reading=element_ohms", "text=48.4 kohm", "--by", "ic", "-w", quay]
    assert run(*odd).code == 1
    assert run(*odd, "confirmed:=true").code == 0
    assert journal(quay)[-1]["body"]["confirmed"] is True


# ----------------------------------------------------------------------------------------------------------- contacts


def test_a_contact_is_kept_shown_and_erased(quay: Path) -> None:
    assert run("contact", "owner-2", "name=A. Roe", "-w", quay).code == 0
    assert run("contact", "owner-2", "place=Slip Cottage", "-w", quay).code == 0
    assert run("contact", "owner-2", "-w", quay, "--json").json == {"name": "A. Roe", "place": "Slip Cottage"}
    assert run("contact", "-w", quay, "--json").json == ["owner-1", "owner-2"]
    assert run("contact", "owner-2", "--erase", "-w", quay).code == 0
    refused(run("contact", "owner-2", "-w", quay), "no contact 'owner-2'", "owner-1")
    refused(run("contact", "owner-2", "--erase", "-w", quay), "no contact 'owner-2'")


# ------------------------------------------------------------------------------------------ keeping, carrying, sheets


def test_a_job_travels_and_a_workshop_comes_back(quay: Path, tmp_path: Path) -> None:
    bundle, saved = tmp_path / "job.bundle", tmp_path / "saved.zip"
    assert run("export", NUMBER, bundle, "-w", quay).code == 0
    assert run("init", tmp_path / "abroad", "--person", "nh=N. Hale").code == 0
    read = run("import", bundle, "-w", tmp_path / "abroad")
    assert read.code == 0
    assert "6 entries" in read.out
    assert "ic" in read.out
    assert [each["id"] for each in journal(tmp_path / "abroad")] == [each["id"] for each in journal(quay)]
    refused(run("adopt", NUMBER, "-w", tmp_path / "abroad", "--by", "ic"), "named person of this workshop", "nh")
    assert run("adopt", NUMBER, "-w", tmp_path / "abroad", "--by", "nh").out.endswith(": 1.\n")
    assert run("adopt", NUMBER, "-w", tmp_path / "abroad", "--by", "nh").out.endswith("none were waiting.\n")
    assert run("backup", saved, "-w", quay).code == 0
    assert run("restore", saved, tmp_path / "again").code == 0
    assert journal(tmp_path / "again") == journal(quay)
    assert run("check", "-w", tmp_path / "again").code == 0


def test_a_bundle_with_a_changed_photograph_is_refused_whole(quay: Path, tmp_path: Path) -> None:
    bundle, changed = tmp_path / "job.bundle", tmp_path / "changed.bundle"
    run("export", NUMBER, bundle, "-w", quay)
    with zipfile.ZipFile(bundle) as whole, zipfile.ZipFile(changed, "w") as other:
        for name in whole.namelist():
            raw = whole.read(name)
            other.writestr(name, raw[:-1] + bytes([raw[-1] ^ 1]) if name.startswith("photographs/") else raw)
    run("init", tmp_path / "abroad", "--person", "nh=N. Hale")
    refused(run("import", changed, "-w", tmp_path / "abroad"), "photograph", "changed.bundle")
    assert run("show", "-w", tmp_path / "abroad", "--json").json["jobs"] == []
    assert run("import", bundle, "-w", tmp_path / "abroad").code == 0


def test_a_changed_photograph_is_found_by_the_check(quay: Path) -> None:
    photograph = next(path for path in (quay / "photographs").rglob("*") if path.is_file())
    photograph.chmod(0o644)
    photograph.write_bytes(picture("teal"))
    done = run("check", "-w", quay, "--json")
    assert done.code == 1
    assert done.err.startswith("Refused. ")
    problems = done.json["problems"]
    assert len(problems) == 1
    assert problems[0]["remedy"]
    assert "photograph" in problems[0]["what"] + problems[0]["where"]


def test_a_sheet_with_a_slip_is_refused_with_its_line(quay: Path, tmp_path: Path) -> None:
    lines = SHEET.splitlines()
    place = next(number for number, text in enumerate(lines) if 'zone = "under_case"' in text)
    lines[place] = 'zone = "under_caes"'
    slipped = tmp_path / "slipped.toml"
    slipped.write_text("\n".join(lines), encoding="utf-8")
    done = run("sheet", "check", slipped, "--json")
    assert done.code == 1
    assert any(f"line {place + 1}" in each["where"] for each in done.json["problems"])
    shutil.copy(slipped, quay / "sheets")
    new = run("new", "--sheet", "slipped", "--by", "ic", "-w", quay)
    refused(new, f"line {place + 1}", "under_caes", "under_case")
    assert len(run("show", "-w", quay, "--json").json["jobs"]) == 1


def test_in_a_process_of_its_own_the_codes_are_the_same(filled: Path) -> None:
    good = apart("show", NUMBER, "--json", BRASSWRIGHT_WORKSHOP=str(filled))
    assert (good.code, good.err, good.json["number"]) == (0, "", NUMBER)
    assert apart("show", 99, BRASSWRIGHT_WORKSHOP=str(filled)).code == 1
    assert apart("show", "--colour").code == 2
