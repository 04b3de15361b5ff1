"""Every row of every table names a described source and says how its figure reached us."""

from __future__ import annotations

import pytest

from brasswright import tables
from brasswright.errors import NotFound, UnknownSource
from brasswright.sources import cite, known_provenance, source, sources


@pytest.mark.parametrize("table", tables.names())
def test_each_row_names_its_source_and_how_it_was_read(table: str) -> None:
    found = tables.rows(table)
    assert found
    for number, row in enumerate(found, start=2):
        assert None not in row.values(), f"{table}.tsv line {number}: columns are missing"
        assert list(row)[-3:] == ["source", "provenance", "note"], table
        assert row["source"] in sources(), f"{table}.tsv line {number}"
        assert known_provenance(row["provenance"]), f"{table}.tsv line {number}"
        assert (row["source"] == "common-practice") == (row["provenance"] == "common practice, no source")


def test_every_source_has_a_title_and_is_cited_in_words() -> None:
    for key, described in sources().items():
        assert described.title
        assert described.title in cite(key)


def test_a_source_nobody_described_is_refused() -> None:
    with pytest.raises(UnknownSource, match="hearsay"):
        source("hearsay")


@pytest.mark.parametrize("words", ["", "seen somewhere", "recomputed with ", "memory"])
def test_a_provenance_in_other_words_is_not_known(words: str) -> None:
    assert not known_provenance(words)
    assert known_provenance("recomputed with iapws 1.5.5")


def test_tables_and_constants_that_are_not_there_are_refused() -> None:
    with pytest.raises(NotFound, match="alloys"):
        tables.rows("gaskets")
    with pytest.raises(NotFound, match="atmosphere_pa"):
        tables.constant("pi")


@pytest.mark.parametrize("table", ["alloys", "nameplate_voltages", "nameplate_powers", "cords"])
def test_figures_rise_down_each_table(table: str) -> None:
    groups: dict[str, list[float]] = {}
    first = next(iter(tables.rows(table)[0]))
    column = "temperature_c" if table == "alloys" else first
    for row in tables.rows(table):
        groups.setdefault(row[first] if table == "alloys" else "", []).append(float(row[column]))
    for figures in groups.values():
        assert figures == sorted(set(figures))
