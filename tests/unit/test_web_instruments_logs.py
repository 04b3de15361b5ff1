"""Logged curves on the instruments' pages: as a file or pasted, what is wrong with them, charts of what they say."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING
from xml.etree import ElementTree as ET

import pytest
from starlette.testclient import TestClient

from brasswright.bench import INSTRUMENTS
from brasswright.bench.answer import answer
from brasswright.web.app import bench_book
from brasswright.web.instrument_answer import curves_of, logged_curves, plot_of
from brasswright.web.instrument_form import LOG_BYTES
from brasswright.web.pages import instruments as pages
from brasswright.web.security import LOGGED_BYTES
from tests.unit.instruments_bench import HERE, PULL, answer_part, field_part, made, plain

if TYPE_CHECKING:
    from collections.abc import Iterator

    from httpx2 import Response

    from brasswright.workshop.folder import Workshop

COOLING = INSTRUMENTS["cooling"].example["log"]
ORIGIN = {"origin": HERE}


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


def sent(client: TestClient, content: bytes, name: str = "log.csv", **fields: str) -> Response:
    """Send a log as a file, as a browser does."""
    return client.post("/instruments/cooling", data=fields, files={"file.log": (name, content)}, headers=ORIGIN)


def test_a_log_is_read_from_a_file_and_stays_in_the_form(client: TestClient) -> None:
    got = sent(client, ("\ufeff" + COOLING).encode(), room_temperature="20 °C")
    assert got.status_code == 200
    said = answer(INSTRUMENTS["cooling"], {"log": COOLING, "room_temperature": "20 °C"})
    assert said["meaning"].rstrip(".") in plain(answer_part(got.text))
    assert COOLING.splitlines()[3] in field_part(got.text, "log")


def test_pasted_lines_are_read_and_a_file_goes_before_them(client: TestClient) -> None:
    pasted = client.post("/instruments/cooling", data={"log": COOLING.replace("\n", "\r\n")}, headers=ORIGIN)
    assert pasted.status_code == 200
    both = sent(client, COOLING.encode(), log="time [min],temperature [°C]\n0,100\n1,90")
    assert both.status_code == 200
    assert "0,100" not in field_part(both.text, "log")


@pytest.mark.parametrize(
    ("content", "words"),
    [
        (COOLING.encode("utf-16"), "is written in UTF-16"),
        (COOLING.encode("latin-1"), "line 1 holds a sign of another encoding"),
        (b"PK\x03\x04\x00\x00\x00", "holds bytes that no CSV has"),
        (b"a" * (LOG_BYTES + 1), f"up to {LOG_BYTES // 1024} kB"),
    ],
    ids=["utf-16", "latin-1", "no text", "too large"],
)
def test_a_file_that_cannot_be_read_says_why_at_its_field(client: TestClient, content: bytes, words: str) -> None:
    got = sent(client, content, room_temperature="20 °C")
    assert got.status_code == 422
    assert words in plain(field_part(got.text, "log").partition('id="why-log"')[2])
    assert 'value="20 °C"' in field_part(got.text, "room_temperature")


def test_pasted_lines_have_the_same_limit(client: TestClient) -> None:
    got = client.post("/instruments/cooling", data={"log": "0,1\n" * (LOG_BYTES // 3)}, headers=ORIGIN)
    assert got.status_code == 422
    assert f"up to {LOG_BYTES // 1024} kB" in got.text


def test_what_no_form_may_hold_is_refused_in_words_that_fit(client: TestClient) -> None:
    got = sent(client, b"a" * LOGGED_BYTES)
    assert got.status_code == 413
    assert "Send a shorter log." in got.text


@pytest.mark.parametrize(
    ("log", "words"),
    [
        ("time,temperature\n0,100\n1,90\n2,80", "has no unit"),
        ("time [min],temperature [°C]\n0,118\n10,hot\n20,98\n30,90", "line 3"),
        ("time [min],temperature [°C]\n0,118\n10,107\n10,98\n20,88\n30,79\n40,71\n50,64", "is there twice"),
        ("time [min],temperature [bar]\n0,118\n10,107\n20,98", "bar"),
        ("", "This is needed."),
    ],
    ids=["no unit", "no number", "twice", "wrong dimension", "empty"],
)
def test_what_is_wrong_in_a_log_stands_at_its_field_with_its_line(client: TestClient, log: str, words: str) -> None:
    got = client.post("/instruments/cooling", data={"log": log}, headers=ORIGIN)
    assert got.status_code == 422
    assert words in plain(field_part(got.text, "log").partition('id="why-log"')[2])
    assert all(line in field_part(got.text, "log") for line in log.splitlines())


def test_a_log_is_drawn_as_it_was_logged_with_a_table_beside(client: TestClient) -> None:
    got = client.get("/instruments/cooling", params={"example": "yes"})
    shown = answer_part(got.text)
    picture = re.search(r'<img src="(/instruments/curves/[0-9a-f]+-light\.svg)" alt="([^"]+)"', shown)
    assert picture is not None
    assert "begins at 118 °C" in picture[2]
    assert "ends at 67.7 °C" in picture[2]
    assert "107.1" in plain(shown)
    for address in (picture[1], picture[1].replace("light", "dark")):
        drawn = client.get(address)
        assert drawn.headers["content-type"] == "image/svg+xml"
        assert ET.fromstring(drawn.text).tag.endswith("svg")  # noqa: S314 - our own
    assert client.get(picture[1].replace("light", "red")).status_code == 404
    assert client.get("/instruments/curves/0000-light.svg").status_code == 404


def test_rows_of_figures_are_drawn_over_time_in_their_units(
    client: TestClient, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(pages, "INSTRUMENTS", {PULL.name: PULL})
    got = client.get("/instruments/brand_new", params={"peak": "9 bar"})
    assert got.status_code == 200
    shown = plain(answer_part(got.text))
    assert "pressure against time begins at 0 bar, is highest with 9 bar at 10 s and ends at 0 bar" in shown
    assert "flow against time begins at 1 ml/s" in shown
    assert "Time, s Pressure, bar Flow, ml/s" in shown
    assert "9 of 31 points; the chart shows all." in shown


def test_curves_keep_every_point_and_the_table_its_ends() -> None:
    (drawn,) = curves_of(PULL, answer(PULL, {"peak": "9 bar"}))
    assert drawn.along.values == tuple(float(second) for second in range(31))
    assert drawn.units == ("bar", "ml/s")
    assert max(value or 0.0 for value in drawn.lines[0].values) == pytest.approx(9.0)
    plot = plot_of(drawn, "As worked out", "/x-{}.svg")
    assert plot.rows[0][0] == "0"
    assert plot.rows[-1] == ("30", "0", "1")
    assert plot.rows[0][2] == ""


def test_a_log_that_is_no_curve_is_not_drawn() -> None:
    assert logged_curves("not a log") is None
    assert logged_curves("time [min]\n0\n1\n2") is None
    drawn = logged_curves("time [min];force [N];travel [mm]\n0;1,5;2\n1;2,5;3\n2;3,5;4")
    assert drawn is not None
    assert [line.values for line in drawn.lines] == [(1.5, 2.5, 3.5), pytest.approx((2.0, 3.0, 4.0))]


def test_an_answer_from_a_log_is_entered_with_its_length_only(client: TestClient, workshop: Workshop) -> None:
    sent_fields = {"job": "1", "log": COOLING, "room_temperature": "20 °C"}
    got = client.post("/instruments/cooling/remark", data=sent_fields, headers=ORIGIN, follow_redirects=False)
    assert got.status_code == 303
    words = workshop.open_job(1).job.remarks[-1].body.words
    assert words.startswith("Cooling: Its excess over the room falls to 37 % in 83.8 ± 0.4 min.")
    assert "log of eight lines" in words
    assert "107.1" not in words
