"""The instruments' pages: every one opens, its example answers, what is wrong stands at its field."""

from __future__ import annotations

import html
import re
from typing import TYPE_CHECKING
from urllib.parse import parse_qsl, urlsplit

import pytest
from starlette.testclient import TestClient

from brasswright.bench import INSTRUMENTS
from brasswright.bench.answer import answer
from brasswright.web.app import bench_book
from brasswright.web.pages import instruments as pages
from brasswright.web.subjects import OTHERS, SUBJECTS, by_subject
from brasswright.workshop.record import Line, note
from tests.unit.instruments_bench import HERE, PULL, answer_part, field_part, made, plain

if TYPE_CHECKING:
    from collections.abc import Iterator

    from brasswright.workshop.folder import Workshop

NAMES = list(INSTRUMENTS)
RESERVED = {"job", "example", "confirm", "entry", "seen", "component"}
"""What the form itself sends."""


@pytest.fixture(scope="module")
def workshop(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Workshop]:
    """A workshop with one job."""
    opened = made(tmp_path_factory.mktemp("shop") / "shop")
    yield opened
    opened.store.close()


@pytest.fixture(scope="module")
def client(workshop: Workshop) -> Iterator[TestClient]:
    """A browser at loopback with N. Hale before it."""
    with TestClient(bench_book(workshop), base_url=HERE, cookies={"person": "nh"}) as browser:
        yield browser


@pytest.mark.parametrize("name", NAMES)
def test_every_instrument_has_a_page_with_its_cautions_before_its_inputs(client: TestClient, name: str) -> None:
    got = client.get(f"/instruments/{name}")
    assert got.status_code == 200
    one, first = INSTRUMENTS[name], min(got.text.index(f'id="in-{entry.key}"') for entry in INSTRUMENTS[name].inputs)
    for caution in one.cautions:
        assert 0 < html.unescape(got.text).index(caution) < first
    for entry in one.inputs:
        assert field_part(got.text, entry.key)
    assert "<script" not in got.text.partition("</head>")[2]


@pytest.mark.parametrize("name", NAMES)
def test_every_example_is_answered_with_what_the_instrument_says(client: TestClient, name: str) -> None:
    got = client.get(f"/instruments/{name}", params={"example": "yes"})
    assert got.status_code == 200
    said = answer(INSTRUMENTS[name], dict(INSTRUMENTS[name].example))
    shown = plain(answer_part(got.text))
    assert "the example's figures, not yours" in shown
    if said.get("meaning"):
        pieces = re.split(r"[.;:]\s", said["meaning"].rstrip("."))
        assert [piece for piece in pieces if piece.lower() not in shown.lower()] == []
    for warning in said.get("warnings", ()):
        assert warning[1:] in shown


@pytest.mark.parametrize("name", NAMES)
def test_no_input_is_named_like_what_the_form_sends_for_itself(name: str) -> None:
    assert not RESERVED & {entry.key for entry in INSTRUMENTS[name].inputs}


def test_the_list_holds_every_instrument_once(client: TestClient) -> None:
    got = client.get("/instruments").text
    links = re.findall(r'href="/instruments/(\w+)"', got)
    assert sorted(links) == sorted(NAMES)
    listed = [name for group in SUBJECTS.values() for name in group]
    assert len(listed) == len(set(listed))


def test_a_new_instrument_lands_in_others_and_its_page_opens(
    client: TestClient, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(pages, "INSTRUMENTS", {**INSTRUMENTS, PULL.name: PULL})
    groups = dict(by_subject([*INSTRUMENTS, PULL.name]))
    assert PULL.name in groups[OTHERS]
    assert list(groups)[-1] == OTHERS
    got = client.get("/instruments").text
    assert 'href="/instruments/brand_new"' in got[got.index(OTHERS) :]
    assert client.get("/instruments/brand_new").status_code == 200


@pytest.mark.parametrize("name", ["alloys", "no_such_thing"])
def test_what_is_no_instrument_is_not_found(client: TestClient, name: str) -> None:
    assert client.get(f"/instruments/{name}").status_code == 404


def test_a_number_takes_the_unit_chosen_beside_it(client: TestClient) -> None:
    asked = {"resistance": "48,4 ± 0.2", "unit.resistance": "ohm", "rated_voltage": "220", "unit.rated_voltage": "V"}
    shown = plain(answer_part(client.get("/instruments/element", params=asked).text))
    said = answer(INSTRUMENTS["element"], {"resistance": "48.4 ± 0.2 ohm", "rated_voltage": "220 V"})
    assert f"{said['power_hot_w']:.0f} ± {said['uncertainty']['power_hot_w']['sigma']:.0f} W" in shown
    assert "95 in 100 lie in" in shown


def test_everything_wrong_stands_at_its_field_and_what_was_typed_stays(client: TestClient) -> None:
    asked = {
        "resistance": "-5 ohm",
        "rated_voltage": "220 mm",
        "rated_power": "many",
        "alloy": "tin",
        "lead_resistance": "0.2 ohm",
    }
    got = client.get("/instruments/element", params=asked)
    assert got.status_code == 422
    for key in ("resistance", "rated_voltage", "rated_power"):
        part = field_part(got.text, key)
        assert f'value="{asked[key]}"' in part
        assert 'aria-invalid="true"' in part
        assert f'id="why-{key}"' in part
        assert f'href="#in-{key}"' in got.text
    assert "aria-invalid" not in field_part(got.text, "lead_resistance")
    assert 'value="0.2 ohm"' in field_part(got.text, "lead_resistance")


def test_a_choice_that_is_none_is_told_at_its_field(client: TestClient) -> None:
    asked = {"resistance": "48.4 ohm", "rated_voltage": "220 V", "alloy": "tin"}
    got = client.get("/instruments/element", params=asked)
    assert got.status_code == 422
    assert "Cr20Ni80" in plain(field_part(got.text, "alloy").partition("why-alloy")[2])


def test_what_is_needed_and_empty_is_asked_for(client: TestClient) -> None:
    got = client.get("/instruments/element", params={"resistance": "", "rated_voltage": ""})
    assert got.status_code == 422
    assert got.text.count("This is needed.") >= 2


def test_a_value_far_off_is_asked_about_and_a_tick_confirms_that_text_only(client: TestClient) -> None:
    asked = {"resistance": "48.4 kohm", "rated_voltage": "220 V"}
    first = client.get("/instruments/earth", params={"resistance": "60 ohm"})
    assert first.status_code == 422
    assert "Was it really read so?" in first.text
    assert 'value="resistance=60 ohm">It was read so' in field_part(first.text, "resistance")
    ticked = client.get("/instruments/earth", params={"resistance": "60 ohm", "confirm": "resistance=60 ohm"})
    assert ticked.status_code == 200
    other = client.get("/instruments/earth", params={"resistance": "70 ohm", "confirm": "resistance=60 ohm"})
    assert other.status_code == 422
    far = client.get("/instruments/element", params=asked)
    assert "Was 48.4 ohm meant?" in far.text


def test_outside_validity_says_what_is_allowed_in_the_unit_of_the_field(client: TestClient) -> None:
    asked = {"resistance": "48.4 ohm", "rated_voltage": "220 V", "wire_temperature": "2000 °C"}
    got = client.get("/instruments/element", params=asked)
    assert got.status_code == 422
    part = plain(field_part(got.text, "wire_temperature"))
    assert "Outside the range in which this instrument holds." in part
    assert re.search(r"Allowed: 20 to \d+ °C", part)


def test_a_reading_without_a_number_gives_its_meaning(client: TestClient) -> None:
    got = client.get("/instruments/element", params={"resistance": "over range", "rated_voltage": "220 V"})
    assert got.status_code == 200
    silent = {entry.key: entry.silent for entry in INSTRUMENTS["element"].inputs}["resistance"]["over range"]
    shown = plain(answer_part(got.text))
    assert all(part.strip().rstrip(".").lower()[1:] in shown.lower() for part in re.split(r"[.;:]\s", silent))


def test_the_link_to_an_answer_gives_it_again(client: TestClient) -> None:
    asked = {"resistance": "60", "unit.resistance": "ohm", "confirm": "resistance=60", "tester": "low-ohm tester"}
    first = client.get("/instruments/earth", params=asked)
    assert first.status_code == 200
    link = html.unescape(re.search(r'href="(/instruments/earth\?[^"]+)">A link to this answer', first.text)[1])  # type: ignore[index]
    assert dict(parse_qsl(urlsplit(link).query))["resistance"] == "60 ohm"
    again = client.get(link)
    assert again.status_code == 200
    assert answer_part(again.text) == answer_part(first.text)


def test_a_job_offers_what_its_plate_says_and_what_was_typed_goes_before(client: TestClient) -> None:
    fresh = client.get("/instruments/element", params={"job": "1"})
    assert 'value="220 V"' in field_part(fresh.text, "rated_voltage")
    assert "From the plate: 220 V." in plain(field_part(fresh.text, "rated_voltage"))
    assert "From the workshop's settings: 230 V." in html.unescape(plain(fresh.text))
    assert 'href="/jobs/1/bench-tests"' in fresh.text
    typed = client.get("/instruments/element", params={"job": "1", "resistance": "48.4 ohm", "rated_voltage": "240 V"})
    assert 'value="240 V"' in field_part(typed.text, "rated_voltage")
    assert 'value="1000 W"' in field_part(typed.text, "rated_power")
    assert 'value="220 V"' not in field_part(client.get("/instruments/element").text, "rated_voltage")


def test_the_dimension_book_fills_in_the_sizes_of_a_component(client: TestClient, workshop: Workshop) -> None:
    assert "Sizes from the dimension book" not in client.get("/instruments/seal", params={"job": "1"}).text
    size = {"kind": "sized", "component": "piston_seals", "how": "measured"}
    sizes = ({"dimension": "groove_diameter", "text": "44.0 ± 0.05 mm"}, {"dimension": "bore", "text": "50.0 mm"})
    note(workshop, workshop.open_job(1), [Line({**size, **one}, by="nh") for one in sizes])
    offering = client.get("/instruments/seal", params={"job": "1"}).text
    assert '<option value="piston_seals">' in offering
    assert 'value=""' in field_part(offering, "groove")
    filled = client.get("/instruments/seal", params={"job": "1", "component": "piston_seals"})
    assert filled.status_code == 200
    part = field_part(filled.text, "groove")
    assert re.search(r'value="44\.0\d* ± 0\.0?5\d* mm"', part)
    assert "From this machine: 44.0" in plain(part)
    assert '<input type="hidden" name="component" value="piston_seals">' in filled.text
    typed = client.get("/instruments/seal", params={"job": "1", "component": "piston_seals", "groove": "43 mm"})
    assert 'value="43 mm"' in field_part(typed.text, "groove")
    assert client.get("/instruments/seal", params={"job": "1", "component": "no_such"}).status_code == 422
    assert "dimension book" not in client.get("/instruments/earth", params={"job": "1"}).text


def test_an_answer_is_entered_as_a_remark_once(client: TestClient, workshop: Workshop) -> None:
    asked = {
        "job": "1",
        "resistance": "48.4 ± 0.2 ohm",
        "rated_voltage": "220 V",
        "rated_power": "",
        "supply_voltage": "",
    }
    shown = client.get("/instruments/element", params=asked).text
    form = shown[shown.index('action="/instruments/element/remark"') :]
    sent = dict(re.findall(r'<input type="hidden" name="([^"]+)" value="([^"]*)"', form[: form.index("</form>")]))
    for _ in range(2):
        entered = client.post(
            "/instruments/element/remark", data=sent, headers={"origin": HERE}, follow_redirects=False
        )
        assert entered.status_code == 303
        assert entered.headers["location"] == "/jobs/1/journal#entries"
    words = [noted.body.words for noted in workshop.open_job(1).job.remarks if noted.body.words.startswith("Element")]
    assert len(words) == 1
    assert "976 ± 4 W" in words[0]
    assert "resistance 48.4 ± 0.2 ohm, rated voltage 220 V" in words[0]


def test_an_example_offers_no_remark_and_without_a_job_nothing_is_entered(client: TestClient) -> None:
    assert "/remark" not in client.get("/instruments/earth", params={"job": "1", "example": "yes"}).text
    assert "/remark" not in client.get("/instruments/earth", params={"resistance": "0.06 ohm"}).text
    sent = client.post("/instruments/earth/remark", data={"resistance": "0.06 ohm"}, headers={"origin": HERE})
    assert sent.status_code == 404


def test_a_remark_of_nobody_is_refused_with_everything_kept(workshop: Workshop) -> None:
    before = workshop.open_job(1).job.seq
    with TestClient(bench_book(workshop), base_url=HERE) as nobody:
        sent = {"job": "1", "resistance": "0.06 ohm", "cord_length": "2 m"}
        got = nobody.post("/instruments/earth/remark", data=sent, headers={"origin": HERE})
    assert got.status_code == 422
    assert 'value="0.06 ohm"' in field_part(got.text, "resistance")
    assert workshop.open_job(1).job.seq == before


@pytest.mark.parametrize("job", ["99", "first", "²", "9" * 30, "-1"])
def test_a_job_that_is_not_there_is_not_found(client: TestClient, job: str) -> None:
    assert client.get("/instruments/element", params={"job": job}).status_code == 404
    assert client.get("/instruments", params={"job": job}).status_code == 404


def test_a_reading_leads_to_its_instrument_and_back(client: TestClient, workshop: Workshop) -> None:
    reading = {"kind": "measured", "reading": "element_resistance", "text": "48.4 ± 0.2 ohm", "instrument": "meter 2"}
    note(workshop, workshop.open_job(1), [Line(reading, by="nh")])
    got = client.get("/jobs/1/bench-tests/element_resistance").text
    link = html.unescape(re.search(r'href="(/instruments/[^"]+)">More with this instrument', got)[1])  # type: ignore[index]
    opened = client.get(link)
    assert opened.status_code == 200
    assert "976 ± 4 W" in plain(answer_part(opened.text))
    assert 'href="/jobs/1/bench-tests/element_resistance"' in answer_part(opened.text)
    assert 'href="/instruments?job=1"' in client.get("/jobs/1/bench-tests").text
    assert 'href="/instruments"' in client.get("/").text
