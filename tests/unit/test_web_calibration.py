"""The page of how good the odds were: words, picture and table agree; nothing finished is said plainly."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest
from starlette.testclient import TestClient

from brasswright.judgement.scores import calibration, in_words
from brasswright.web.app import bench_book
from brasswright.web.spoken import count
from brasswright.workshop.learning import adopt, called, taught
from tests.unit.instruments_bench import HERE, made, plain
from tests.unit.test_learning_workshop import KEY, busy

if TYPE_CHECKING:
    from pathlib import Path

    from brasswright.workshop.folder import Workshop


@pytest.fixture(scope="module")
def shop(tmp_path_factory: pytest.TempPathFactory) -> Workshop:
    """A workshop with a dozen finished jobs, what they teach adopted."""
    workshop = busy(tmp_path_factory.mktemp("shop") / "ws", 12)
    adopt(workshop, taught(workshop, KEY), by="ic", words="first winter")
    return workshop


def test_words_and_figures_are_those_of_the_command(shop: Workshop) -> None:
    said = plain(TestClient(bench_book(shop), base_url=HERE).get("/calibration").text)
    good = calibration(called(shop))
    assert good is not None
    assert f"{good.parts} parts found in {count(good.jobs, 'finished job')}" in said
    for one in good.bins:
        if one.called:
            assert in_words(one) in said
    assert "learned from twelve jobs, adopted on 2 March 2026 by Ines Calder" in said


def test_the_picture_is_drawn_for_both_schemes_and_no_other(shop: Workshop) -> None:
    client = TestClient(bench_book(shop), base_url=HERE)
    light, dark = (client.get(f"/calibration/reliability-{scheme}.svg") for scheme in ("light", "dark"))
    assert light.headers["content-type"].startswith("image/svg+xml")
    assert light.text != dark.text
    assert client.get("/calibration/reliability-red.svg").status_code == 404


def test_one_kind_of_machine_by_itself(shop: Workshop) -> None:
    client = TestClient(bench_book(shop), base_url=HERE)
    assert "twelve finished jobs" in plain(client.get(f"/calibration?kind={KEY}").text)
    assert "No job is finished yet" in plain(client.get("/calibration?kind=home-spring-lever").text)


def test_a_workshop_without_finished_jobs_says_so(tmp_path: Path) -> None:
    client = TestClient(bench_book(made(tmp_path / "ws")), base_url=HERE)
    assert "No job is finished yet" in plain(client.get("/calibration").text)
    assert client.get("/calibration/reliability-light.svg").status_code == 404
