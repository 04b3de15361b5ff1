"""The dimension book: sizes are put together by kind of machine and offered first, with where they come from."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Any

import pytest

from brasswright.bench import INSTRUMENTS
from brasswright.bench.dimensions import WORDS, asked_by, designation, dimensions, parts_of
from brasswright.errors import BrasswrightError, Clash, EntryRefused, NeedsConfirmation, NotFound, UnitRefused
from brasswright.journal.sized import Sized
from brasswright.store import adopt
from brasswright.store.bundle import export, import_
from brasswright.units import dimensions as quantities
from brasswright.units import parse
from brasswright.workshop.book_file import COLUMNS, book_text, read_file
from brasswright.workshop.book_words import line_words, sure_words
from brasswright.workshop.dimension_book import Book, BookReader, book_of, read_book
from brasswright.workshop.folder import found as new_workshop
from brasswright.workshop.offering import Ask, offered, whose
from brasswright.workshop.receive import receive
from brasswright.workshop.record import Line, note
from brasswright.workshop.settings import set_values
from tests.builders import NOON
from tests.unit.workshop_bench import made, now, told

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

    from brasswright.journal.entries import Entry
    from brasswright.workshop.folder import Workshop

KIND, PART = "quay-slice", "piston_seals"
GROOVE = {"dimension": "groove_diameter", "text": "25.60 ± 0.03 mm"}


@pytest.fixture
def bench(tmp_path: Path) -> Iterator[Workshop]:
    """A workshop with three machines of one kind: jobs 31, 32 and 33."""
    workshop = made(tmp_path / "quay")
    for number in (32, 33):
        machine = {"description": "another one of its kind"}
        receive(workshop, {"number": number, "sheet": KIND, "machine": machine}, by="ic")
    yield workshop
    workshop.store.close()


def pier(folder: Path) -> Workshop:
    """Another workshop, without a machine."""
    workshop = new_workshop(folder / "pier", now)
    set_values(workshop, {"person.ic": "Ines Calder"}, by="ic", at=NOON)
    return workshop


def size(workshop: Workshop, job: int, dimension: str, text: str, **fields: Any) -> Entry:
    body = {"kind": "sized", "component": PART, "dimension": dimension, "text": text, "how": "measured", **fields}
    return note(workshop, workshop.open_job(job), [Line(body, by="ic")])[0]


def as_size(entry: Entry) -> Sized:
    assert isinstance(entry.body, Sized)
    return entry.body


def line(workshop: Workshop, dimension: str, component: str = PART) -> Any:
    return read_book(workshop).lines[KIND, component, dimension]


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


# ------------------------------------------------------------------------------------------------ offered first


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
