"""The pages of the dimension book: sizes with their jobs, a form without scripts, refusals that keep what was typed."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest
from starlette.testclient import TestClient

from brasswright.web.app import bench_book
from brasswright.workshop.record import Line, note
from tests.unit.workshop_bench import NUMBER, made, say, told

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

    from brasswright.workshop.folder import Workshop

HERE = "http://127.0.0.1:8080"
PART = f"/jobs/{NUMBER}/sizes/piston_seals"
TYPED = {"dimension": "groove_diameter", "text": "25.60 ± 0.03 mm", "how": "measured", "instrument": "caliper 1"}


@pytest.fixture
def workshop(tmp_path: Path) -> Iterator[Workshop]:
    shop = made(tmp_path / "quay")
    yield shop
    shop.store.close()


@pytest.fixture
def client(workshop: Workshop) -> Iterator[TestClient]:
    with TestClient(bench_book(workshop), base_url=HERE, headers={"origin": HERE}, follow_redirects=False) as shown:
        shown.cookies.set("person", "ic")
        yield shown


def test_an_empty_book_says_how_it_is_filled(client: TestClient) -> None:
    shown = client.get("/dimension-book")
    assert shown.status_code == 200
    assert "Nothing is kept yet" in shown.text
    assert "No size of it is kept" in client.get(PART).text


def test_a_size_is_entered_without_scripts_and_stands_everywhere(client: TestClient, workshop: Workshop) -> None:
    sent = client.post(PART, data=TYPED)
    assert (sent.status_code, sent.headers["location"]) == (303, f"{PART}#kept")
    (size,) = told(workshop).job.sizes
    assert (size.by, size.body.text, size.body.instrument) == ("ic", "25.60 ± 0.03 mm", "caliper 1")
    for address in (PART, f"/jobs/{NUMBER}/odds/piston_seals", "/dimension-book?kind=quay-slice"):
        text = client.get(address).text
        assert "25.60 ± 0.03 mm, measured on one machine (job 31)" in text
        assert f'href="/jobs/{NUMBER}/journal#e-{size.seq}"' in text
    assert 'action="/jobs/31/sizes/piston_seals"' in client.get(f"/jobs/{NUMBER}/odds/piston_seals").text
    assert "Piston seals, groove diameter: 25.60 ± 0.03 mm" in client.get(f"/jobs/{NUMBER}/journal").text


def test_a_form_sent_twice_is_entered_once(client: TestClient, workshop: Workshop) -> None:
    hidden = {"entry": "7e000000-0000-4000-8000-00000000000f", "seen": "1"}
    for _ in range(2):
        assert client.post(PART, data=TYPED | hidden).status_code == 303
    assert len(told(workshop).job.sizes) == 1


@pytest.mark.parametrize(
    ("change", "says"),
    [
        ({"text": "25.6"}, "The unit is missing"),
        ({"text": "25.6 bar"}, "no unit of length"),
        ({"text": "<b>25 mm"}, "&lt;b&gt;25 mm"),
        ({"dimension": "another", "name": ""}, "dimension"),
        ({"dimension": ""}, "no dimension"),
    ],
)
def test_a_refusal_keeps_what_was_typed(
    client: TestClient, workshop: Workshop, change: dict[str, str], says: str
) -> None:
    sent = client.post(PART, data=TYPED | change)
    assert sent.status_code == 422
    assert says in sent.text
    assert 'value="caliper 1"' in sent.text
    assert told(workshop).job.sizes == ()


def test_an_unlikely_size_is_asked_about_and_then_taken(client: TestClient, workshop: Workshop) -> None:
    asked = client.post(PART, data=TYPED | {"text": "400 mm"})
    assert asked.status_code == 422
    assert 'name="confirmed" value="yes"' in asked.text
    assert client.post(PART, data=TYPED | {"text": "400 mm", "confirmed": "yes"}).status_code == 303
    assert told(workshop).job.sizes[0].body.confirmed


def test_a_dimension_of_ones_own_gets_its_key_from_its_name(client: TestClient, workshop: Workshop) -> None:
    own = {"dimension": "another", "name": "1st lug, width", "text": "7 mm", "how": "measured"}
    assert client.post(PART, data=own).status_code == 303
    finish = own | {"name": "Finish", "text": "satin", "quantity": "words"}
    assert client.post(PART, data=finish).status_code == 303
    assert [one.body.dimension for one in told(workshop).job.sizes] == ["size_1st_lug_width", "finish"]
    assert "1st lug, width" in client.get(PART).text


def test_two_people_at_once_are_told(client: TestClient, workshop: Workshop) -> None:
    seen = told(workshop).job.seq
    fields = {"kind": "sized", "component": "piston_seals", "dimension": "groove_diameter", "how": "measured"}
    note(workshop, told(workshop), [Line({**fields, "text": "25.7 mm"}, by="tw")])
    sent = client.post(PART, data=TYPED | {"seen": str(seen), "entry": "7e000000-0000-4000-8000-00000000000f"})
    assert sent.status_code == 409
    assert "Tom Wray" in sent.text


def test_an_extra_part_has_its_page_and_an_unknown_one_has_none(client: TestClient, workshop: Workshop) -> None:
    say(workshop, "identified", component="drip_cup", presence="extra")
    assert client.get(f"/jobs/{NUMBER}/sizes/drip_cup").status_code == 200
    assert client.get(f"/jobs/{NUMBER}/sizes/drip_cups").status_code == 422


def test_an_instrument_gets_the_sizes_of_a_component_first(client: TestClient) -> None:
    client.post(PART, data=TYPED)
    assert f"/instruments/seal?job={NUMBER}&amp;component=piston_seals" in client.get(PART).text
    form = client.get(f"/instruments/seal?job={NUMBER}&component=piston_seals").text
    assert "25.60 ± 0.03" in form
    assert "From this machine" in form


def test_programs_read_the_book_and_its_offers(client: TestClient) -> None:
    client.post(PART, data=TYPED)
    (line,) = client.get("/api/book?kind=quay-slice").json()["lines"]
    assert (line["dimension"], line["sizes"][0]["machines"]) == ("groove_diameter", 1)
    assert client.get("/api/book?kind=another").json()["lines"] == []
    offers = client.get(f"/api/book/offers/seal?job={NUMBER}&component=piston_seals").json()
    assert [(one["input"], one["text"]) for one in offers["offers"]] == [("groove", "25.60 ± 0.03 mm")]
    assert client.get("/api/book/offers/seal?component=piston_seals").status_code == 422
    assert client.get("/api/book/offers/nothing?kind=quay-slice&component=piston_seals").status_code == 404
