"""The guard before the pages: hosts, origins, sizes, headers; and what forms and refusals do."""

from __future__ import annotations

from datetime import UTC, datetime
from typing import TYPE_CHECKING
from uuid import UUID, uuid4

import pytest
from starlette.testclient import TestClient

from brasswright.bench import INSTRUMENTS
from brasswright.bench.answer import answer
from brasswright.judgement.shape import judgement_shape
from brasswright.web.app import bench_book
from brasswright.web.forms import Form
from brasswright.web.security import FORM_BYTES, POLICY
from brasswright.workshop.estimating import estimate_job
from brasswright.workshop.folder import Workshop, found
from brasswright.workshop.judging import judge
from brasswright.workshop.learning_shape import calibration_shape
from brasswright.workshop.planning import plan
from brasswright.workshop.receive import receive
from brasswright.workshop.settings import set_values
from brasswright.workshop.shapes import estimate_shape, plan_shape
from brasswright.workshop.showing import job_shape, jobs_shape

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

HERE = "http://127.0.0.1:8080"


@pytest.fixture(scope="module")
def workshop(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Workshop]:
    """A workshop with one job."""
    folder: Path = tmp_path_factory.mktemp("shop") / "shop"
    made = found(folder, lambda: datetime.now(tz=UTC))
    set_values(made, {"person.nh": "N. Hale", "name": "Tern Quay Bench"}, by="nh")
    receive(made, {"sheet": "home-spring-lever", "machine": {"description": "Spring lever"}}, by="nh")
    yield made
    made.store.close()


@pytest.fixture(scope="module")
def client(workshop: Workshop) -> Iterator[TestClient]:
    """A client that comes as a browser at loopback does."""
    with TestClient(bench_book(workshop), base_url=HERE, raise_server_exceptions=False) as made:
        yield made


def entries(workshop: Workshop) -> int:
    """How many entries the job has."""
    return workshop.open_job(1).job.seq


@pytest.mark.parametrize("host", ["evil.example", "127.0.0.1.evil.example", "192.168.1.5:8080", ""])
def test_other_hosts_are_refused(client: TestClient, host: str) -> None:
    answered = client.get("/", headers={"host": host})
    assert answered.status_code == 421
    assert "Spring lever" not in answered.text


@pytest.mark.parametrize("host", ["127.0.0.1:8080", "localhost:8080", "localhost", "[::1]:8080"])
def test_loopback_is_served(client: TestClient, host: str) -> None:
    assert client.get("/", headers={"host": host}).status_code == 200


@pytest.mark.parametrize(
    "headers",
    [
        {"origin": "http://evil.example"},
        {"origin": "null"},
        {"origin": "http://127.0.0.1:9999"},
        {"referer": "http://evil.example/page"},
        {"origin": HERE, "sec-fetch-site": "cross-site"},
        {"sec-fetch-mode": "navigate"},
    ],
)
def test_forms_from_elsewhere_enter_nothing(client: TestClient, workshop: Workshop, headers: dict[str, str]) -> None:
    before = entries(workshop)
    answered = client.post("/jobs/1/journal", data={"words": "not ours"}, headers=headers)
    assert answered.status_code == 403
    assert entries(workshop) == before


def test_every_answer_carries_the_policy(client: TestClient) -> None:
    for address in ("/", "/jobs/1/odds", "/static/bench-book.css", "/api/jobs", "/nowhere"):
        headers = client.get(address).headers
        assert headers["content-security-policy"] == POLICY
        assert headers["x-content-type-options"] == "nosniff"
        assert headers["referrer-policy"] == "same-origin"
    for piece in ("unsafe", "*", "http:", "data:"):
        assert piece not in POLICY


def test_a_form_of_a_megabyte_is_refused(client: TestClient, workshop: Workshop) -> None:
    before = entries(workshop)
    answered = client.post("/jobs/1/journal", data={"words": "a" * FORM_BYTES}, headers={"origin": HERE})
    assert answered.status_code == 413
    assert "Nothing was entered" in answered.text
    assert entries(workshop) == before


def test_a_body_that_does_not_say_its_length_is_counted(client: TestClient, workshop: Workshop) -> None:
    before = entries(workshop)

    def pieces() -> Iterator[bytes]:
        yield b"words="
        for _ in range(5):
            yield b"a" * 65_536

    headers = {"origin": HERE, "content-type": "application/x-www-form-urlencoded"}
    answered = client.post("/jobs/1/journal", content=pieces(), headers=headers)
    assert answered.status_code == 413
    assert entries(workshop) == before


def test_an_answer_is_a_redirect_after_the_post(client: TestClient) -> None:
    sent = {"words": "It always dripped.", "entry": str(uuid4()), "seen": "1"}
    answered = client.post("/jobs/1/journal", data=sent, headers={"origin": HERE}, follow_redirects=False)
    assert answered.status_code == 303
    assert answered.headers["location"] == "/jobs/1/journal#entries"


def test_who_goes_back_to_no_other_place(client: TestClient) -> None:
    for back in ("//evil.example", "https://evil.example", "/\\evil.example"):
        sent = {"person": "nh", "back": back}
        answered = client.post("/who", data=sent, headers={"origin": HERE}, follow_redirects=False)
        assert answered.headers["location"] == "/"


def test_the_same_content_has_the_same_id_and_other_content_another() -> None:
    form = Form({"entry": "b2a55000-0000-4000-8000-000000000001"})
    assert form.id_for("answer", "dry") == form.id_for("answer", "dry")
    assert form.id_for("answer", "dry") != form.id_for("answer", "wet")
    assert isinstance(Form().id_for("answer"), UUID)


def test_the_api_gives_the_shapes_of_the_commands(client: TestClient, workshop: Workshop) -> None:
    opened = workshop.open_job(1)
    assert client.get("/api/jobs").json() == jobs_shape(workshop)
    assert client.get("/api/jobs/1").json() == job_shape(opened)
    assert client.get("/api/calibration").json() == calibration_shape((), "")
    told = client.get("/api/learning/home-spring-lever").json()
    assert (told["jobs"], told["rows"], told["in_force"]) == ([], [], None)
    assert client.get("/api/jobs/1/judge").json() == judgement_shape(judge(opened))
    planned = plan_shape(plan(workshop, opened))
    assert client.get("/api/jobs/1/plan").json()["treatments"] == planned["treatments"]
    money = estimate_shape(estimate_job(workshop, opened))
    told = client.get("/api/jobs/1/estimate").json()
    assert [told[key] for key in ("low_minor", "likely_minor", "high_minor", "seed")] == [
        money[key] for key in ("low_minor", "likely_minor", "high_minor", "seed")
    ]
    asked = {"resistance": "48.4 ohm", "rated_voltage": "220 V"}
    assert client.get("/api/measure/element", params=asked).json() == answer(INSTRUMENTS["element"], asked)
    assert {one["name"] for one in client.get("/api/measure").json()["instruments"]} == set(INSTRUMENTS)


@pytest.mark.parametrize(
    ("address", "status"),
    [
        ("/api/jobs/99", 404),
        ("/api/jobs/x", 422),
        ("/api/measure/spoon", 404),
        ("/api/measure/element", 422),
        ("/api/measure/element?resistance=-3+ohm&rated_voltage=220+V", 422),
        ("/api/nowhere", 404),
    ],
)
def test_the_api_refuses_in_words(client: TestClient, address: str, status: int) -> None:
    answered = client.get(address)
    assert answered.status_code == status
    assert answered.json()["says"]


@pytest.mark.parametrize(
    ("address", "status"),
    [("/jobs/99/odds", 404), ("/jobs/1/odds/spoon", 404), ("/jobs/1/holds/none", 404), ("/jobs/1/nothing", 404)],
)
def test_pages_refuse_in_words(client: TestClient, address: str, status: int) -> None:
    answered = client.get(address)
    assert answered.status_code == status
    assert "To the list of machines" in answered.text
