"""What a person enters is taken whole or refused by name, and a refusal leaves nothing behind."""

from __future__ import annotations

from datetime import timedelta
from typing import TYPE_CHECKING, Any
from uuid import UUID, uuid4

import pytest

from brasswright.errors import BrasswrightError, EntryRefused, ImpossibleValue, NeedsConfirmation, UnitRefused
from brasswright.journal.entries import Answered, Measured, Priced, Swept
from brasswright.workshop.folder import Workshop, open_workshop
from brasswright.workshop.record import Line, note
from brasswright.workshop.telling import LINES
from tests.unit.workshop_bench import EVENING, NUMBER, kept, made, now, say, told

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path


@pytest.fixture
def bench(tmp_path: Path) -> Iterator[Workshop]:
    workshop = made(tmp_path / "quay")
    yield workshop
    workshop.store.close()


def refused(bench: Workshop, kind: str, **fields: Any) -> BrasswrightError:
    """Enter something that must be refused; nothing may be stored by it."""
    before = kept(bench)
    with pytest.raises(BrasswrightError) as refusal:
        say(bench, kind, **fields)
    assert kept(bench) == before
    return refusal.value


def test_what_is_entered_is_there_when_the_workshop_is_opened_again(bench: Workshop) -> None:
    entry = say(bench, "answered", question="flex_look", answer="cracked or taped", manner="felt", words="at the plug")
    again = open_workshop(bench.folder, now).open_job(NUMBER).job
    assert again.answers["flex_look"].body == entry.body
    assert (again.seq, again.answers["flex_look"].by) == (2, "ic")


# ------------------------------------------------------------------------------------------------------- answers


@pytest.mark.parametrize(
    ("fields", "words"),
    [
        ({"question": "flex_lok", "answer": "two cores"}, "perhaps flex_look"),
        ({"question": "flex_look", "answer": "two core"}, "Allowed: sound, three cores, cracked or taped, two cores"),
        ({"question": "stored_wet", "answer": "perhaps"}, "Allowed: no, yes"),
        ({"question": "flex_look"}, "exactly one of answer, likelihood and aside. Got 0 of them"),
        ({"question": "flex_look", "answer": "two cores", "aside": "not sure"}, "Got 2 of them"),
        ({"question": "flex_look", "aside": "something else"}, "needs words"),
        ({"question": "flex_look", "aside": "something else", "words": "  "}, "needs words"),
        ({"question": "stored_wet", "likelihood": {"no": 0.0, "yes": 0.0}}, "not all zero"),
        ({"question": "stored_wet", "likelihood": {}}, "not all zero"),
        ({"question": "stored_wet", "likelihood": {"no": 0.5, "yes": -0.5}}, "0 or more"),
        ({"question": "stored_wet", "likelihood": {"no": 0.5, "wet": 0.5}}, "each of no, yes"),
        ({"question": "stored_wet", "likelihood": {"no": float("nan"), "yes": 0.5}}, "likelihood"),
        (
            {"question": "flex_look", "answer": "two cores", "colour": "red"},
            "colour: is not a field of this kind of entry",
        ),
        ({"question": "flex_look", "answer": "two cores", "manner": "guessed"}, "manner: it should be 'seen'"),
    ],
)
def test_an_answer_that_is_none_is_refused(bench: Workshop, fields: dict[str, Any], words: str) -> None:
    assert words in str(refused(bench, "answered", **fields))


@pytest.mark.parametrize(
    "fields",
    [
        {"question": "flex_look", "answer": "two cores"},
        {"question": "stored_wet", "likelihood": {"no": 0.2, "yes": 0.6}},
        {"question": "flex_look", "aside": "cannot see yet"},
        {"question": "flex_look", "aside": "something else", "words": "no flex at all"},
    ],
)
def test_each_way_to_answer_is_taken(bench: Workshop, fields: dict[str, Any]) -> None:
    body = say(bench, "answered", **fields).body
    assert isinstance(body, Answered)
    assert body.model_dump(include=set(fields)) == fields


@pytest.mark.parametrize(
    ("kind", "fields", "words"),
    [
        ("found", {"component": "elemnt", "condition": "damp"}, "perhaps element"),
        ("found", {"component": "element", "condition": "wet"}, "Allowed: sound, damp, leaky, open"),
        ("fixed", {"component": "element", "condition": "wet", "reason": "x"}, "Allowed: sound, damp, leaky, open"),
        ("fixed", {"component": "element", "condition": "damp"}, "reason: is missing"),
        ("identified", {"component": "pilot_lamp", "presence": "absent"}, "no component 'pilot_lamp'"),
        ("identified", {"component": "element", "presence": "extra"}, "not an extra part"),
        ("identified", {"component": "element", "presence": "gone"}, "presence: it should be 'fitted'"),
        ("moved", {"component": "elemnt", "to": "tray 2"}, "perhaps element"),
        ("chose", {"treatment": "reseal", "decision": "do"}, "perhaps reseal_piston"),
        ("measured", {"reading": "eart", "text": "1 ohm", "unit": "ohm"}, "perhaps earth"),
        ("swept", {"zone": "outsid", "questions": ["flex_look"]}, "perhaps outside"),
        ("swept", {"zone": "group", "questions": ["flex_look"]}, "not asked in zone 'group'"),
        ("proved", {"test": "earth_test", "outcome": "passed"}, "no proving test 'earth_test'"),
        ("released", {"hold": "isolate"}, "No such hold point"),
        ("stopped", {"operation": "open:case_lifted", "finished": True}, "was not started"),
        ("withdrew", {"entry": str(uuid4()), "reason": "a slip"}, "no such entry in this job"),
        ("added", {"operation": "x", "title": "x", "minutes": [5.0, 2.0, 9.0]}, "not low, likely, high"),
        ("added", {"operation": "x", "title": "x", "minutes": [1.0, 2.0, 3.0], "does": ["covers"]}, "Got covers"),
        ("disturbed", {"acts": ["leaks"], "words": "a drip"}, "Got leaks"),
        ("priced", {"item": "new_spring", "low_minor": 9, "likely_minor": 8, "high_minor": 10}, "not low, likely"),
        (
            "priced",
            {"item": "new_spring", "low_minor": 1, "likely_minor": 2, "high_minor": 3, "currency": "USD"},
            "one currency",
        ),
        ("approved", {"paper_sha256": "0" * 64, "who": "the owner", "how": "in writing"}, "No such paper was issued"),
        ("set", {"key": "currency", "value": "USD"}, "brasswright set currency=USD"),
        ("arrived", {"number": 31}, "no 'arrived/1' entry"),
        ("polished", {"component": "element"}, "no kind of entry 'polished'"),
        ("", {}, "kind"),
    ],
)
def test_what_the_sheet_or_the_journal_does_not_know_is_refused(
    bench: Workshop, kind: str, fields: dict[str, Any], words: str
) -> None:
    assert words in str(refused(bench, kind, **fields))


def test_a_machine_arrives_once(bench: Workshop) -> None:
    arrival = told(bench).job.arrived
    assert arrival is not None
    fields = arrival.body.model_dump(mode="json", exclude={"kind"})
    assert "has arrived already" in str(refused(bench, "arrived", **fields))


def test_a_price_is_in_the_currency_of_the_workshop(bench: Workshop) -> None:
    body = say(bench, "priced", item="new_spring", low_minor=900, likely_minor=1200, high_minor=2000).body
    assert isinstance(body, Priced)
    assert body.currency == "EUR"


def test_an_entry_is_struck_once_and_never_the_arrival(bench: Workshop) -> None:
    wrong = say(bench, "answered", question="flex_look", answer="two cores")
    say(bench, "withdrew", entry=str(wrong.id), reason="looked again")
    assert "flex_look" not in told(bench).job.answers
    assert "struck already" in str(refused(bench, "withdrew", entry=str(wrong.id), reason="again"))
    first = told(bench).job.entries[0].id
    assert "The arrival cannot be struck" in str(refused(bench, "withdrew", entry=str(first), reason="never came"))


# ------------------------------------------------------------------------------------------------------ readings


@pytest.mark.parametrize(
    ("text", "kind", "words"),
    [
        ("48.4", UnitRefused, "unit is missing"),
        ("48.4 parsec", UnitRefused, "no unit of resistance"),
        ("48.4 bar", UnitRefused, "no unit of resistance"),
        ("1,234 ohm", UnitRefused, "1234"),
        ("-4 ohm", ImpossibleValue, "cannot be that low"),
        ("nan ohm", BrasswrightError, "nan"),
        ("-999 ohm", ImpossibleValue, "no value"),
        ("", BrasswrightError, "number"),
        ("about fifty", BrasswrightError, "number"),
    ],
)
def test_a_reading_that_cannot_be_is_refused(
    bench: Workshop, text: str, kind: type[BrasswrightError], words: str
) -> None:
    refusal = refused(bench, "measured", reading="element_ohms", text=text)
    assert isinstance(refusal, kind)
    assert words in str(refusal).lower() or words in str(refusal)


@pytest.mark.parametrize(
    ("reading", "text", "read"),
    [
        ("element_ohms", "48.4 ohm", (48.4, None, None)),
        ("element_ohms", "48,4 ohm", (48.4, None, None)),
        ("element_ohms", "48.4 ± 0.2 ohm", (48.4, 0.2, None)),
        ("element_ohms", "0.0484 kohm", (48.4, None, None)),
        ("insulation", "2 Mohm", (2e6, None, None)),
        ("insulation", "> 200 Mohm", (200e6, None, "over range")),
        ("element_ohms", "over range", (None, None, "over range")),
        ("earth", "below resolution", (None, None, "below resolution")),
    ],
)
def test_a_reading_is_kept_as_typed_and_in_si(
    bench: Workshop, reading: str, text: str, read: tuple[float | None, float | None, str | None]
) -> None:
    body = say(bench, "measured", reading=reading, text=text, instrument="tester 3").body
    assert isinstance(body, Measured)
    assert (body.text, body.instrument) == (text, "tester 3")
    for got, expected in zip((body.value, body.sigma, body.censored), read, strict=True):
        assert got == (pytest.approx(expected) if isinstance(expected, float) else expected)


def test_what_is_typed_beside_a_reading_does_not_set_its_value(bench: Workshop) -> None:
    body = say(bench, "measured", reading="element_ohms", text="48.4 ohm", value=9.0, censored=None, unit="bar").body
    assert isinstance(body, Measured)
    assert body.value == pytest.approx(48.4)
    assert body.unit == "ohm"


def test_a_thousandfold_slip_is_asked_about_and_taken_when_confirmed(bench: Workshop) -> None:
    refusal = refused(bench, "measured", reading="element_ohms", text="48.4 kohm")
    assert isinstance(refusal, NeedsConfirmation)
    assert "Was 48.4 ohm meant?" in str(refusal)
    body = say(bench, "measured", reading="element_ohms", text="48.4 kohm", confirmed=True).body
    assert isinstance(body, Measured)
    assert body.confirmed
    assert body.value == pytest.approx(48_400.0)


def test_confirming_does_not_make_the_impossible_possible(bench: Workshop) -> None:
    assert isinstance(
        refused(bench, "measured", reading="element_ohms", text="-4 ohm", confirmed=True), ImpossibleValue
    )


# ---------------------------------------------------------------------------------------------- who, when, where


def test_only_people_of_the_workshop_enter(bench: Workshop) -> None:
    for by in ("", "xx"):
        line = Line({"kind": "remarked", "words": "a word"}, by=by)
        with pytest.raises(EntryRefused, match=r"nobody of this workshop.*Allowed: ic, tw"):
            note(bench, told(bench), [line])
    assert told(bench).job.seq == 1


def test_nothing_is_entered_ahead_of_the_clock(bench: Workshop) -> None:
    words = {"kind": "remarked", "words": "a word"}
    with pytest.raises(EntryRefused, match="in the future"):
        note(bench, told(bench), [Line(words, by="ic", at=EVENING + timedelta(minutes=3))])
    assert told(bench).job.seq == 1
    slightly = note(bench, told(bench), [Line(words, by="ic", at=EVENING + timedelta(minutes=1))])
    assert slightly[0].at == EVENING + timedelta(minutes=1)


def test_an_entry_for_another_job_is_refused_and_one_that_names_this_job_is_taken(bench: Workshop) -> None:
    refusal = refused(bench, "remarked", words="a word", job=str(uuid4()))
    assert "for another job" in str(refusal)
    assert str(told(bench).id) in str(refusal)
    assert "for another job" in str(refused(bench, "remarked", words="a word", job=32))
    for name in (str(told(bench).id), NUMBER):
        say(bench, "remarked", words="a word", job=name)
    assert told(bench).job.seq == 3


def test_the_same_lines_sent_twice_are_entered_once(bench: Workshop) -> None:
    lines = [
        Line({"kind": "answered", "question": "flex_look", "answer": "two cores"}, by="ic"),
        Line({"kind": "swept", "zone": "outside"}, by="ic"),
        Line({"kind": "released", "hold": "isolated", "statements": "all"}, by="ic"),
        Line({"kind": "started", "operation": "open:case_lifted", "title": "Case off", "acts": ["cover"]}, by="ic"),
        Line({"kind": "disturbed", "acts": ["power"], "words": "somebody plugged it in"}, by="tw"),
    ]
    first = note(bench, told(bench), lines)
    assert note(bench, told(bench), lines) == first
    assert told(bench).job.seq == 6


def test_an_id_used_for_something_else_is_refused(bench: Workshop) -> None:
    entry = say(bench, "remarked", words="a word")
    with pytest.raises(EntryRefused, match="already used"):
        note(bench, told(bench), [Line({"kind": "remarked", "words": "another"}, by="ic", id=entry.id)])
    twice = [Line({"kind": "remarked", "words": words}, by="ic", id=UUID(int=9)) for words in ("one", "two")]
    with pytest.raises(EntryRefused, match="one id"):
        note(bench, told(bench), twice)
    assert told(bench).job.seq == 2


# --------------------------------------------------------------------------------------------------------- sweeps


def test_a_sweep_answers_what_is_in_reach_and_was_not_answered_singly(bench: Workshop) -> None:
    say(bench, "answered", question="flex_look", answer="two cores")
    body = say(bench, "swept", zone="outside").body
    assert isinstance(body, Swept)
    assert body.questions == ("case_rust", "water_marks")
    assert "flex_look" not in told(bench).job.sweeps


def test_a_sweep_does_not_see_through_a_cover(bench: Workshop) -> None:
    body = say(bench, "swept", zone="under_case").body
    assert isinstance(body, Swept)
    assert body.questions == ("fibres_seen",)
    assert "Nothing is left to sweep" in str(refused(bench, "swept", zone="inside"))
    say(bench, "released", hold="isolated", statements="all")
    say(bench, "started", operation="open:case_lifted", title="Case off")
    say(bench, "stopped", operation="open:case_lifted", finished=True)
    open_ = say(bench, "swept", zone="under_case").body
    assert isinstance(open_, Swept)
    assert set(open_.questions) >= {"earth_look", "contacts_look", "valve_look", "weep_at_seam"}


def test_parts_that_are_not_there_are_not_swept(bench: Workshop) -> None:
    say(bench, "identified", component="case", presence="absent")
    body = say(bench, "swept", zone="outside").body
    assert isinstance(body, Swept)
    assert "case_rust" not in body.questions


def test_a_kind_nobody_knows_is_refused_naming_the_nearest(bench: Workshop) -> None:
    said = str(refused(bench, "remark", words="x"))
    assert said == "There is no kind of entry 'remark'. Allowed: perhaps remarked."


def test_a_reading_the_sheet_does_not_know_is_refused_by_its_name(bench: Workshop) -> None:
    assert "There is no reading 'earths'" in str(refused(bench, "measured", reading="earths", text="over range"))


def test_a_refused_release_names_the_hold_and_ends_each_sentence_once(bench: Workshop) -> None:
    said = str(refused(bench, "released", hold="isolated"))
    assert said.startswith("Hold 1, ")
    assert "Not said: " in said
    assert ".." not in said
    assert ".;" not in said


def test_an_answer_is_told_in_words_not_by_its_key(bench: Workshop) -> None:
    body = Answered(question="vent_trail", answer="crust-below")
    assert "crust below" in LINES[Answered](body, told(bench).sheet)
