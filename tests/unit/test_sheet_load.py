"""Reading sheets: fragments, core hold points, pinned bytes, lines."""

from __future__ import annotations

import json
import tomllib
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from brasswright.errors import NotFound, SheetRefused
from brasswright.sheets.load import from_bytes, load_packaged, load_sheet, packaged
from brasswright.sheets.places import EntryPath, Places, line_index

GOLDEN = Path(__file__).parent.parent / "golden" / "sheets"
SHEETS = sorted(GOLDEN.glob("*.toml"))
HOLDS = (
    "isolated",
    "cold_vented",
    "lever_secured",
    "presumed_asbestos",
    "dead_electrics",
    "cold_pressure",
    "safety_valve",
    "water_over_element",
    "first_power",
    "release",
)


@pytest.mark.parametrize("path", SHEETS, ids=lambda path: path.stem)
def test_pinned_bytes_give_the_same_sheet(path: Path) -> None:
    loaded = load_sheet(path)
    again = from_bytes(loaded.raw)
    assert again == loaded
    assert list(again.sheet.finding) == list(loaded.sheet.finding)


def test_layout_does_not_change_the_pin_and_a_number_does() -> None:
    text = (GOLDEN / "small.toml").read_text(encoding="utf-8")
    pin = load_sheet(text).sha256
    assert load_sheet("# a remark\n" + text.replace("trust = 4", "trust   = 4 # low")).sha256 == pin
    assert load_sheet(text.replace("trust = 4", "trust = 5")).sha256 != pin


def test_every_sheet_has_the_ten_hold_points_in_order() -> None:
    sheet = load_sheet(GOLDEN / "small.toml").sheet
    assert tuple(sorted(sheet.hold, key=lambda key: sheet.hold[key].number)) == HOLDS
    assert [sheet.hold[key].number for key in HOLDS] == list(range(1, 11))
    assert all(hold.why and hold.statements and hold.guards and hold.broken_by for hold in sheet.hold.values())
    assert {test for hold in sheet.hold.values() for test in hold.proofs} == set(sheet.proving)


def test_nothing_powers_a_machine_past_holds_five_to_nine() -> None:
    sheet = load_sheet(GOLDEN / "small.toml").sheet
    for act in ("power", "heat"):
        guarding = {key for key, hold in sheet.hold.items() if act in hold.guards}
        assert guarding == set(HOLDS[4:9])
    assert set(sheet.hold["first_power"].after) == set(HOLDS[:8])


@pytest.mark.parametrize(
    ("act", "undone"),
    [
        ("nip", {"leak_down"}),
        ("opens_envelope", {"air_free_cold_pressure", "leak_down"}),
        ("wiring", {"flex_and_plug_visual", "earth_continuity", "insulation_resistance", "element_resistance"}),
        ("leak", {"earth_continuity", "insulation_resistance", "electrical_retest_hot", "electrical_retest_cold"}),
        ("descale", {"earth_continuity", "insulation_resistance", "element_resistance"}),
        ("power", {"level_over_element"}),
    ],
)
def test_a_disturbance_asks_for_its_own_retests(act: str, undone: set[str]) -> None:
    sheet = load_sheet(GOLDEN / "small.toml").sheet
    broken = {key for key, test in sheet.proving.items() if act in test.broken_by}
    assert undone <= broken
    if act == "nip":
        assert broken == undone


def test_limits_are_those_of_the_named_standard() -> None:
    # DIN VDE 0701-0702: protective conductor at most 0.3 ohm; insulation 1 Mohm, 0.3 Mohm with heating elements.
    proving = load_sheet(GOLDEN / "small.toml").sheet.proving
    assert proving["earth_continuity"].at_most == "0.3 ohm"
    assert proving["insulation_resistance"].at_least == "1 Mohm"
    assert proving["insulation_resistance"].fails_below == "0.3 Mohm"
    assert "0701-0702" in proving["earth_continuity"].standard
    assert "low-ohm" in proving["earth_continuity"].instrument
    assert "closed" in proving["insulation_resistance"].circuit


def test_a_sheet_adds_its_reading_and_cautions_to_a_core_test() -> None:
    text = (GOLDEN / "small.toml").read_text(encoding="utf-8")
    text += '\n[proving.leak_down]\nreading = "wall"\ncautions = ["Look at the seam."]\n'
    plain = load_sheet(GOLDEN / "small.toml").sheet.proving["leak_down"]
    test = load_sheet(text).sheet.proving["leak_down"]
    assert test.reading == "wall"
    assert test.cautions == (*plain.cautions, "Look at the seam.")
    assert test.broken_by == plain.broken_by


def test_a_limit_is_given_only_where_the_core_leaves_it_open() -> None:
    sheet = load_sheet(GOLDEN / "slice.toml").sheet
    assert sheet.proving["element_resistance"].at_most == "54 ohm"
    assert "change" in _refused('\n[proving.insulation_resistance]\nat_least = "0.1 Mohm"\n')


def _refused(more: str) -> str:
    text = (GOLDEN / "small.toml").read_text(encoding="utf-8")
    with pytest.raises(SheetRefused) as caught:
        load_sheet(text + more)
    return str(caught.value)


def test_a_fragment_beside_the_sheet_is_read_with_its_own_lines(tmp_path: Path) -> None:
    text = (GOLDEN / "small.toml").read_text(encoding="utf-8")
    head, tail = text.split("[treatment.braze]")
    (tmp_path / "parts").mkdir()
    (tmp_path / "parts" / "work.toml").write_text("[treatment.braze]" + tail)
    (tmp_path / "a.toml").write_text('include = ["parts/work.toml"]\n' + head)
    loaded = load_sheet(tmp_path / "a.toml")
    assert loaded.sheet == load_sheet(text).sheet
    assert loaded.places.where("treatment", "braze", "way") == "parts/work.toml, line 3, treatment.braze.way"


def test_a_missing_file_and_a_wrong_key_are_named(tmp_path: Path) -> None:
    with pytest.raises(NotFound, match="no such sheet"):
        load_sheet(tmp_path / "none.toml")
    with pytest.raises(NotFound, match="no packaged sheet"):
        load_packaged("hom-spring-lever")
    assert all("." not in key for key in packaged())


def test_torn_bytes_are_refused() -> None:
    raw = load_sheet(GOLDEN / "small.toml").raw
    with pytest.raises(SheetRefused):
        from_bytes(raw[:-1])
    with pytest.raises(SheetRefused):
        from_bytes(b"{}")


def _paths(value: object, path: EntryPath = ()) -> list[EntryPath]:
    """All paths of a TOML value, as the library reads it."""
    if isinstance(value, dict):
        inner = [found for key, one in value.items() for found in _paths(one, (*path, key))]
    elif isinstance(value, list):
        inner = [found for place, one in enumerate(value) for found in _paths(one, (*path, place))]
    else:
        inner = []
    return [path, *inner] if path else inner


@pytest.mark.parametrize("path", SHEETS, ids=lambda path: path.stem)
def test_every_entry_has_a_line_and_its_key_stands_there(path: Path) -> None:
    text = path.read_text(encoding="utf-8")
    lines = text.splitlines()
    index = line_index(text)
    for entry in _paths(tomllib.loads(text)):
        if entry in index and isinstance(entry[-1], str):
            assert entry[-1] in lines[index[entry] - 1]
        elif len(entry) > 1:
            assert entry in index, entry


words = st.text(st.characters(codec="ascii", exclude_categories=["Cc"]), max_size=12)
plain = words | st.integers(-99, 99) | st.booleans()
keys = st.text("abcxyz_-", min_size=1, max_size=5)
values = st.recursive(plain, lambda inner: st.lists(inner, max_size=3), max_leaves=6)


@given(st.dictionaries(keys, st.dictionaries(keys, values, min_size=1, max_size=3), min_size=1, max_size=3))
def test_the_scan_agrees_with_the_library_on_any_tables(tables: dict[str, dict[str, object]]) -> None:
    text = ""
    for name, table in tables.items():
        text += f"[{name}]  # [not.this]\n"
        for key, value in table.items():
            text += f"{key} = {json.dumps(value)} # {{ nor = this }}\n\n"
    assert tomllib.loads(text) == tables
    index = line_index(text)
    assert set(index) == set(_paths(tables))
    for (name, table), header in zip(
        tables.items(), [n for n, line in enumerate(text.splitlines(), 1) if "not.this" in line], strict=True
    ):
        assert index[name,] == header
        assert [index[name, key] for key in table] == [header + 1 + 2 * place for place in range(len(table))]


def test_strings_of_all_kinds_do_not_lead_astray() -> None:
    text = 'a = """\n[x]\n"quoted" \\""""\nb = \'\'\'\n{ c = 1 }\n\'\'\'\n"d e".f = \'#\'\n'
    text += "[[g]]\nh = 1\n[[g]]\nh = { i = [\n1,\n2] }\n"
    index = line_index(text)
    assert tomllib.loads(text)["g"][1]["h"]["i"] == [1, 2]
    assert index["b",] == 4
    assert index["d e", "f"] == 7
    assert index["g", 0, "h"] == 9
    assert index["g", 1, "h", "i", 1] == 13


def test_an_unknown_place_is_named_by_what_is_around_it() -> None:
    places = Places({("unit", "case"): ("a.toml", 7)}, "a.toml")
    assert places.where("unit", "case", "does", 0) == "a.toml, line 7, unit.case.does[1]"
    assert places.where("unit", "lid") == "a.toml, unit.lid"


def _loosened(tables: dict[str, Any]) -> None:
    tables["hold"] = {"isolated": tables["hold"]["isolated"] | {"guards": [], "statements": []}}
    tables["proving"]["earth_continuity"] |= {"at_most": "30 ohm", "instrument": "", "reading": "earth"}
    tables["proving"]["earth_continuity"]["cautions"] = ["Mind the paint."]
    del tables["proving"]["leak_down"]


def test_pinned_bytes_cannot_loosen_hold_points_or_their_tests() -> None:
    # A bundle from elsewhere brings its own bytes, whoever made them.
    loaded = load_sheet(GOLDEN / "slice.toml")
    tables = json.loads(loaded.raw)
    _loosened(tables)
    brought = from_bytes(json.dumps(tables).encode())
    assert brought.sheet.hold == loaded.sheet.hold
    assert brought.sheet.proving["leak_down"] == loaded.sheet.proving["leak_down"]
    earth, own = brought.sheet.proving["earth_continuity"], loaded.sheet.proving["earth_continuity"]
    assert (earth.at_most, earth.instrument, earth.broken_by) == (own.at_most, own.instrument, own.broken_by)
    assert set(own.cautions) | {"Mind the paint."} == set(earth.cautions)
    assert brought.sha256 != loaded.sha256


@pytest.mark.parametrize("raw", [b"[]", b'"sheet"', b'{"proving": []}', b'{"proving": {"leak_down": {"cautions": 3}}}'])
def test_bytes_that_are_no_sheet_are_refused(raw: bytes) -> None:
    with pytest.raises(SheetRefused):
        from_bytes(raw)
