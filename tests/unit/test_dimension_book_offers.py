"""What the dimension book offers an instrument, and what it does not: look-alikes, rings that leak, even odds."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from brasswright.bench import INSTRUMENTS
from brasswright.bench.dimensions import WORDS, asked_by, designation, dimensions, parts_of
from brasswright.errors import EntryRefused, NotFound
from brasswright.units import dimensions as quantities
from brasswright.units import parse
from brasswright.workshop.dimension_book import Book, read_book
from brasswright.workshop.offering import Ask, offered, whose
from tests.unit.book_bench import KIND, PART, size, three
from tests.unit.workshop_bench import told

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

    from brasswright.workshop.folder import Workshop


@pytest.fixture
def bench(tmp_path: Path) -> Iterator[Workshop]:
    workshop = three(tmp_path)
    yield workshop
    workshop.store.close()


def test_every_way_in_the_table_leads_to_an_input_that_takes_it() -> None:
    ways = {name: asked_by(name) for name in INSTRUMENTS}
    assert {name for name, found in ways.items() if found} == {"seal", "flatgasket", "thread", "spring", "torque"}
    for name, found in ways.items():
        inputs = {entry.key: entry for entry in INSTRUMENTS[name].inputs}
        for way in found:
            kept = dimensions()[way.dimension]
            assert (way.part > 0) == (kept.quantity == WORDS)
            if not way.part:
                assert inputs[way.input].dimension == kept.quantity
            if way.when is not None:
                assert way.when[1] in inputs[way.when[0]].choices


def test_every_dimension_is_of_a_known_quantity_and_its_range_holds_its_step() -> None:
    for one in dimensions().values():
        if one.quantity == WORDS:
            assert (one.low, one.high, one.usual_sigma, one.apart) == (None, None, None, None)
            continue
        assert one.quantity in quantities()
        assert None not in {one.low, one.high, one.usual_sigma, one.apart}
        low, high, sigma, apart = (edge or 0.0 for edge in (one.low, one.high, one.usual_sigma, one.apart))
        assert 0 < sigma < apart < high - low


def test_this_machine_comes_first_then_its_kind(bench: Workshop) -> None:
    size(bench, 31, "groove_diameter", "25.60 ± 0.03 mm")
    size(bench, 32, "groove_diameter", "25.70 ± 0.03 mm")
    size(bench, 32, "groove_width", "4.7 mm", how="read off a paper")
    book = read_book(bench)
    own = offered(book, Ask(KIND, (PART,), 31), "seal", {}).given
    assert (own["groove"].text, own["width"].text) == ("25.60 ± 0.03 mm", "4.70 ± 0.10 mm")
    assert "this machine: measured, entry" in own["groove"].origin
    assert "read off a paper (job 32)" in own["width"].origin
    kind = offered(book, Ask(KIND, (PART,), 33), "seal", {}).given
    assert kind["groove"].text == "25.65 ± 0.08 mm"  # d = 0.1, u = 0.03: t^2 = d^2 / 2 - u^2
    assert "measured on two machines (jobs 31 and 32)" in kind["groove"].origin
    assert "groove" not in offered(book, Ask(KIND, (PART,), 33), "seal", {"groove": "25.5 mm"}).given


def test_a_ring_that_held_is_offered_by_its_figures_until_it_leaks(bench: Workshop) -> None:
    size(bench, 31, "o_ring", "24.99 x 3.53", how="fitted and held")
    found = offered(read_book(bench), Ask(KIND, (PART,), 32), "seal", {}).given
    assert (found["ring_inside"].text, found["ring_section"].text) == ("24.99 mm", "3.53 mm")
    size(bench, 31, "o_ring", "24.99 x 3.53", how="fitted and leaked")
    for job in (31, 32):
        offers = offered(read_book(bench), Ask(KIND, (PART,), job), "seal", {})
        assert offers.given == {}
        assert "None holds more often than it leaks" in offers.notes[0]


def test_equally_borne_out_designations_are_not_chosen_between(bench: Workshop) -> None:
    size(bench, 31, "o_ring", "25 x 3.5", how="fitted and held")
    size(bench, 32, "o_ring", "25 x 4", how="fitted and held")
    offers = offered(read_book(bench), Ask(KIND, (PART,), 33), "seal", {})
    assert offers.given == {}
    assert "equally well borne out" in offers.notes[0]


def test_where_the_groove_is_decides_what_runs_against_it(bench: Workshop) -> None:
    size(bench, 31, "bore", "31.7 mm")
    size(bench, 31, "rod_diameter", "12 mm")
    book = read_book(bench)
    for typed, text in (({}, "31.70 ± 0.05 mm"), ({"kind": "Rod"}, "12.00 ± 0.05 mm")):
        assert offered(book, Ask(KIND, (PART,)), "seal", typed).given["mating"].text == text
    assert "mating" not in offered(book, Ask(KIND, (PART,)), "seal", {"kind": "face"}).given


def test_a_thread_by_name_fills_what_a_torque_asks(bench: Workshop) -> None:
    size(bench, 31, "thread", "M10 x 1 male", component="group_gasket")
    found = offered(read_book(bench), Ask(KIND, (PART, "group_gasket")), "torque", {}).given
    assert {key: one.text for key, one in found.items()} == {"diameter": "10 mm", "pitch": "1 mm"}


def test_every_offer_is_taken_by_its_instrument_as_it_stands(bench: Workshop) -> None:
    for dimension, one in dimensions().items():
        text = {"o_ring": "25 x 3.5", "flat_gasket": "70 x 60 x 2", "thread": "G1/8"}.get(dimension, "12 mm")
        text = "6.5" if one.quantity == "count" else "1 mm" if dimension in {"thread_pitch", "spring_wire"} else text
        size(bench, 31, dimension, text, confirmed=True)
    book = read_book(bench)
    for name in ("seal", "flatgasket", "thread", "spring", "torque"):
        given = offered(book, Ask(KIND, (PART,)), name, {}).given
        for offer in given.values():
            entry = next(each for each in INSTRUMENTS[name].inputs if each.key == offer.input)

            assert parse(offer.text, dimension=entry.dimension).value is not None


def test_the_book_is_asked_about_one_thing(bench: Workshop) -> None:
    with pytest.raises(EntryRefused, match="one job or one kind"):
        whose(told(bench), KIND, (PART,))
    with pytest.raises(EntryRefused, match="one job or one kind"):
        whose(None, "", (PART,))
    with pytest.raises(EntryRefused, match="Which component"):
        whose(None, KIND, ())
    with pytest.raises(EntryRefused, match="perhaps piston_seals"):
        whose(told(bench), "", ("piston_seal",))
    with pytest.raises(NotFound, match="seal"):
        offered(Book({}), Ask(KIND, (PART,)), "seals", {})
    assert "holds nothing" in offered(Book({}), Ask(KIND, (PART,)), "seal", {}).notes[0]


@pytest.mark.parametrize(
    ("dimension", "text", "spelt", "parts"),
    [
        ("o_ring", "O-ring 44 x 4", "44 x 4", ("44 mm", "4 mm")),
        ("o_ring", "214", "214", ("24.99 mm", "3.53 mm")),
        ("o_ring", "the red one", "the red one", ()),
        ("flat_gasket", "Gasket 70×60×2 mm", "70 x 60 x 2", ("70 mm", "60 mm", "2 mm")),
        ("thread", "M10 x 1  Male", "M10x1 male", ("10 mm", "1 mm")),
        ("thread", "g 1/8", "G1/8", ("9.728 mm", "0.9071 mm")),
        ("thread", "M10 x 1.1", "m10 x 1.1", ("10 mm", "1.1 mm")),
        ("thread", "coarse", "coarse", ()),
    ],
)
def test_designations_are_read_as_people_mean_them(
    dimension: str, text: str, spelt: str, parts: tuple[str, ...]
) -> None:
    assert designation(dimension, text) == spelt
    assert parts_of(dimension, text) == parts
