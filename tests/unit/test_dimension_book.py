"""The dimension book: sizes are put together by kind of machine and offered first, with where they come from."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import pytest

from brasswright.bench.dimensions import WORDS, designation
from brasswright.errors import BrasswrightError, Clash, EntryRefused, NeedsConfirmation, UnitRefused
from brasswright.store import adopt
from brasswright.store.bundle import export, import_
from brasswright.workshop.book_file import COLUMNS, book_text, read_file
from brasswright.workshop.book_words import line_words, sure_words
from brasswright.workshop.dimension_book import Book, BookReader, book_of, read_book
from brasswright.workshop.offering import Ask, offered
from brasswright.workshop.receive import receive
from brasswright.workshop.record import Line, note
from tests.unit.book_bench import KIND, PART, as_size, line, pier, size, three
from tests.unit.workshop_bench import made, told

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

    from brasswright.workshop.folder import Workshop

GROOVE = {"dimension": "groove_diameter", "text": "25.60 ± 0.03 mm"}


@pytest.fixture
def bench(tmp_path: Path) -> Iterator[Workshop]:
    workshop = three(tmp_path)
    yield workshop
    workshop.store.close()


# ----------------------------------------------------------------------------------------------------- entering


def test_a_size_is_kept_as_typed_and_in_si(bench: Workshop) -> None:
    body = as_size(size(bench, 31, "groove_diameter", " 25.60 ±  0.03 mm ", instrument="caliper 1"))
    assert (body.text, body.unit, body.quantity) == ("25.60 ± 0.03 mm", "mm", "length")
    assert (body.value, body.sigma) == pytest.approx((0.0256, 0.00003))
    assert told(bench).job.sizes[-1].body == body


@pytest.mark.parametrize(
    ("fields", "refusal", "words"),
    [
        ({**GROOVE, "text": "25.6"}, UnitRefused, "unit is missing"),
        ({**GROOVE, "text": "25.6 bar"}, UnitRefused, "no unit of length"),
        ({**GROOVE, "text": "25.6 m"}, NeedsConfirmation, "Was 25.6 mm meant"),
        ({**GROOVE, "text": "> 25 mm"}, EntryRefused, "needs its number"),
        ({**GROOVE, "text": "0 mm"}, EntryRefused, "more than nothing"),
        ({**GROOVE, "text": "-3 mm"}, BrasswrightError, "groove_diameter"),
        ({**GROOVE, "text": "round"}, UnitRefused, "No number"),
        ({**GROOVE, "dimension": "groove_dimeter"}, EntryRefused, "perhaps groove_diameter"),
        ({**GROOVE, "dimension": "lug"}, EntryRefused, "say what it is"),
        ({**GROOVE, "component": "piston_seal"}, EntryRefused, "perhaps piston_seals"),
        ({**GROOVE, "how": "guessed"}, EntryRefused, "how"),
        ({**GROOVE, "origin": "a friend"}, EntryRefused, "its own machine"),
        ({**GROOVE, "machine_kind": "another"}, EntryRefused, "its own machine"),
    ],
)
def test_what_cannot_be_taken_is_refused_and_leaves_nothing(
    bench: Workshop, fields: dict[str, str], refusal: type[BrasswrightError], words: str
) -> None:
    before = told(bench).job.head
    with pytest.raises(refusal, match=words):
        size(bench, 31, **fields)
    assert told(bench).job.head == before


def test_an_absurd_size_is_taken_when_it_was_read_so(bench: Workshop) -> None:
    taken = size(bench, 31, "groove_diameter", "400 mm", confirmed=True)
    assert as_size(taken).value == pytest.approx(0.4)


def test_a_dimension_of_ones_own_and_a_part_found_extra(bench: Workshop) -> None:
    note(bench, told(bench), [Line({"kind": "identified", "component": "drip_cup", "presence": "extra"}, by="ic")])
    size(bench, 31, "rim", "61 mm", component="drip_cup", name="width of its rim")
    size(bench, 31, "finish", "satin", component="drip_cup", name="finish", quantity=WORDS)
    assert line(bench, "rim", "drip_cup").name == "width of its rim"
    assert line(bench, "finish", "drip_cup").fits[0].text == "satin"


def test_two_people_clash_on_one_dimension_learnt_the_same_way_and_on_nothing_else(bench: Workshop) -> None:
    seen = told(bench)
    size(bench, 31, "groove_diameter", "25.6 mm")
    body = {"kind": "sized", "component": PART, "dimension": "groove_diameter", "text": "25.7 mm", "how": "measured"}
    with pytest.raises(Clash, match="piston_seals/groove_diameter/measured"):
        note(bench, seen, [Line(body, by="tw")])
    note(bench, seen, [Line({**body, "dimension": "groove_width", "text": "4.7 mm"}, by="tw")])
    note(bench, seen, [Line({**body, "how": "read off a paper"}, by="tw")])
    assert len(told(bench).job.sizes) == 3


# ----------------------------------------------------------------------------------------------- putting together


def test_figures_of_several_machines_are_put_together(bench: Workshop) -> None:
    size(bench, 31, "groove_diameter", "25.60 ± 0.03 mm")
    size(bench, 32, "groove_diameter", "25.64 ± 0.04 mm")
    (one,) = line(bench, "groove_diameter").sizes
    by_hand = (25.60 / 0.03**2 + 25.64 / 0.04**2) / (1 / 0.03**2 + 1 / 0.04**2)
    assert one.pooled.mean * 1000 == pytest.approx(by_hand)
    assert one.jobs == (31, 32)
    assert "Two machines agree" in sure_words(line(bench, "groove_diameter"))


def test_the_last_figure_of_a_machine_counts_and_a_struck_one_does_not(bench: Workshop) -> None:
    size(bench, 31, "groove_diameter", "25.0 mm")
    last = size(bench, 31, "groove_diameter", "25.6 mm")
    assert line(bench, "groove_diameter").sizes[0].pooled.mean == pytest.approx(0.0256)
    note(bench, told(bench), [Line({"kind": "withdrew", "entry": str(last.id), "reason": "wrong groove"}, by="ic")])
    assert line(bench, "groove_diameter").sizes[0].pooled.mean == pytest.approx(0.025)


def test_two_stays_of_one_machine_are_one_machine(tmp_path: Path) -> None:
    workshop = made(tmp_path / "quay")
    for number in (40, 41):
        machine = {"description": "the same", "serial": " TQ  7"}
        receive(workshop, {"number": number, "sheet": KIND, "machine": machine}, by="ic")
        size(workshop, number, "bore", "31.7 mm")
    (one,) = line(workshop, "bore").sizes
    assert (one.pooled.count, one.jobs) == (1, (41,))
    workshop.store.close()


def test_sizes_that_are_taken_for_one_another_are_never_averaged(bench: Workshop) -> None:
    for job, text in ((31, "44.0 mm"), (32, "46.0 mm"), (33, "44.1 mm")):
        size(bench, job, "bore", text)
    found = line(bench, "bore")
    assert [(round(one.pooled.mean, 5), one.jobs) for one in found.sizes] == [(0.04405, (31, 33)), (0.046, (32,))]
    assert "nothing is averaged" in sure_words(found)
    offers = offered(read_book(bench), Ask(KIND, (PART,)), "seal", {})
    assert offers.given == {}
    assert "mating is not offered" in offers.notes[0]
    assert "46.00 ± 0.05 mm" in offers.notes[0]


def test_machines_that_differ_beyond_their_uncertainties_are_said_to(bench: Workshop) -> None:
    for job, text in ((31, "25.50 ± 0.02 mm"), (32, "25.60 ± 0.02 mm"), (33, "25.70 ± 0.02 mm")):
        size(bench, job, "groove_diameter", text)
    (one,) = line(bench, "groove_diameter").sizes
    assert one.pooled.differ
    assert one.pooled.birge == pytest.approx(5.0)
    assert one.pooled.between == pytest.approx((0.01e-6 - 0.0004e-6) ** 0.5, rel=1e-6)
    assert "Three machines differ by more than their uncertainties (Birge ratio 5.0" in sure_words(
        line(bench, "groove_diameter")
    )


def test_designations_are_counted_by_what_they_did(bench: Workshop) -> None:
    size(bench, 31, "o_ring", "O-ring 25 × 3,5 mm", how="fitted and held")
    size(bench, 32, "o_ring", "25x3.5", how="fitted and held")
    size(bench, 33, "o_ring", "25 x 3.5", how="fitted and leaked")
    size(bench, 33, "o_ring", "25 x 4", how="fitted and held")
    first, second = line(bench, "o_ring").fits
    assert (designation("o_ring", first.text), first.held, first.leaked) == ("25 x 3.5", 2, 1)
    assert (second.text, second.held, second.jobs) == ("25 x 4", 1, (33,))
    size(bench, 31, "o_ring", "25 x 3.5", how="fitted and leaked")
    assert line(bench, "o_ring").fits[0].text == "25 x 4"


def test_a_foreign_part_says_nothing_of_the_kind_of_machine(bench: Workshop) -> None:
    size(bench, 31, "bore", "31.7 mm")
    assert line(bench, "bore").sizes
    note(bench, told(bench), [Line({"kind": "identified", "component": PART, "presence": "foreign"}, by="ic")])
    found = line(bench, "bore")
    assert found.sizes == ()
    assert found.sources[0].why_not == "another kind of part is fitted there"


def test_the_book_is_the_same_read_at_once_or_in_pieces_and_in_any_order(bench: Workshop) -> None:
    reader = BookReader(bench)
    assert reader.read() == Book({})
    size(bench, 31, "bore", "31.7 mm")
    first = reader.read()
    assert reader.read() is first
    size(bench, 32, "bore", "31.8 mm")
    assert reader.read() == read_book(bench) != first
    sources = [((KIND, PART, "bore"), one) for one in line(bench, "bore").sources]
    assert book_of(reversed(sources)) == book_of(sources)


def test_what_a_bundle_brought_counts_once_it_is_adopted(bench: Workshop, tmp_path: Path) -> None:
    size(bench, 31, "bore", "31.7 mm")
    export(bench.store, told(bench).id, tmp_path / "job.zip")
    other = pier(tmp_path)
    import_(other.store, tmp_path / "job.zip")
    found = line(other, "bore")
    assert found.sizes == ()
    assert "nobody here has adopted" in line_words(found)[0]
    adopt(other.store, told(bench).id, by="ic")
    assert line(other, "bore").sizes[0].jobs == (31,)
    other.store.close()


# --------------------------------------------------------------------------------------------------- as a file


def test_sizes_go_to_another_workshop_and_never_count_there(bench: Workshop, tmp_path: Path) -> None:
    size(bench, 31, "groove_diameter", "25.60 ± 0.03 mm")
    size(bench, 32, "groove_diameter", "25.60 ± 0.03 mm")
    size(bench, 31, "o_ring", "24.99 x 3.53", how="fitted and held")
    size(bench, 31, "lug", "7 mm", name="width of the lug")
    path = tmp_path / "sizes.tsv"
    path.write_text(book_text(read_book(bench)), encoding="utf-8")
    assert "ic" not in path.read_text(encoding="utf-8").split()
    other = pier(tmp_path)
    assert read_file(other, path, by="ic", origin="Harbour Bench") == (4, 0)
    assert read_file(other, path, by="ic", origin="Harbour Bench") == (0, 4)
    found = line(other, "groove_diameter")
    assert found.sizes == ()
    assert [one.origin[:13] for one in found.sources] == ["Harbour Bench"] * 2
    offer = offered(read_book(other), Ask(KIND, (PART,)), "seal", {}).given["groove"]
    assert offer.text == "25.60 ± 0.03 mm"
    assert "elsewhere (Harbour Bench" in offer.origin
    assert "Nothing of this workshop's own" in offer.sure
    assert book_text(read_book(other)).splitlines() == ["\t".join(COLUMNS)]
    other.store.close()


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("", "Columns are missing"),
        ("\t".join(COLUMNS), "no size"),
        ("{head}\nk\tpart\tbore\t\tlength\t5 bar\tmeasured\t\t", "line 2"),
        ("{head}\nk\tpart\tbore\t\tlength\t5 mm\tmeasured\t\t\nk\tpart\tbore", "line 3"),
        ("{head}\nk\tpart\tbore\t\tlength\t5 mm\tguessed\t\t", "line 2"),
        ("{head}\n\tpart\tbore\t\tlength\t5 mm\tmeasured\t\t", "kind of machine is missing"),
        ("{head}\nk\tPart One\tbore\t\tlength\t5 mm\tmeasured\t\t", "component"),
    ],
)
def test_a_file_is_taken_whole_or_its_line_is_named(bench: Workshop, tmp_path: Path, text: str, words: str) -> None:
    path = tmp_path / "sizes.tsv"
    path.write_text(text.replace("{head}", "\t".join(COLUMNS)), encoding="utf-8")
    with pytest.raises(EntryRefused, match=words):
        read_file(bench, path, by="ic", origin="Harbour Bench")
    assert read_book(bench) == Book({})


def test_somebody_answers_for_a_file_and_says_where_it_comes_from(bench: Workshop, tmp_path: Path) -> None:
    for by, origin in (("nobody", "Harbour Bench"), ("ic", " ")):
        with pytest.raises(EntryRefused):
            read_file(bench, tmp_path / "sizes.tsv", by=by, origin=origin)


def test_a_source_that_does_not_count_is_shown_and_its_figure_left_out(bench: Workshop) -> None:
    size(bench, 31, "bore", "31.7 mm")
    (source,) = line(bench, "bore").sources
    found = book_of([((KIND, PART, "bore"), replace(source, why_not="it is another's"))])
    assert found.lines[KIND, PART, "bore"].sizes == ()
    assert "does not count: it is another's" in line_words(found.lines[KIND, PART, "bore"])[0]
