"""The pages of judgement: advice on the odds page, the rival of a component, troubles with their order of looking."""

from __future__ import annotations

import re
from datetime import UTC, datetime
from html import unescape
from typing import TYPE_CHECKING

import pytest
from starlette.testclient import TestClient

from brasswright.judgement.bundle import bundles
from brasswright.judgement.doubt import misfits
from brasswright.judgement.mind import not_yet, rival, turns
from brasswright.judgement.shape import account_shape, symptoms_shape, trouble_shape
from brasswright.judgement.symptom import symptoms, trace
from brasswright.judgement.words import chance_words
from brasswright.web.app import bench_book
from brasswright.web.desk import Desk
from brasswright.workshop.folder import Workshop, found
from brasswright.workshop.judging import judge
from brasswright.workshop.receive import receive
from brasswright.workshop.record import Line, note
from brasswright.workshop.settings import set_values
from tests.unit.workshop_bench import NUMBER, made

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

HERE = "http://127.0.0.1:8080"
FRESH, OPENED = 1, 2
DISAGREEING: tuple[dict[str, object], ...] = (
    {"kind": "answered", "question": "told_trips", "answer": "at-once", "manner": "told"},
    {"kind": "answered", "question": "told_heats", "answer": "normally", "manner": "told"},
    {"kind": "released", "hold": "isolated", "statements": "all"},
    {"kind": "released", "hold": "cold_vented", "statements": "all"},
    {"kind": "released", "hold": "lever_secured", "statements": "all"},
    {"kind": "answered", "question": "sheath_look", "answer": "split", "manner": "seen"},
    {"kind": "answered", "question": "pins_conduct", "answer": "yes", "manner": "seen"},
    {"kind": "measured", "reading": "element_resistance", "text": "over range", "instrument": "meter 2"},
)


@pytest.fixture(scope="module")
def workshop(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Workshop]:
    """One machine of which nothing is known, and one with three holds released and answers that disagree."""
    folder: Path = tmp_path_factory.mktemp("quay") / "shop"
    shop = found(folder, lambda: datetime.now(tz=UTC))
    set_values(shop, {"person.ic": "Ines Calder"}, by="ic")
    machine = {"description": "Spring lever", "rated_voltage_v": 220.0, "rated_power_w": 1000.0}
    for _ in (FRESH, OPENED):
        receive(shop, {"sheet": "home-spring-lever", "machine": machine}, by="ic")
    note(shop, shop.open_job(OPENED), [Line(line, "ic") for line in DISAGREEING])
    yield shop
    shop.store.close()


@pytest.fixture(scope="module")
def client(workshop: Workshop) -> Iterator[TestClient]:
    with TestClient(bench_book(workshop), base_url=HERE) as shown:
        yield shown


def section(text: str, heading: str) -> str:
    """The part of a page below one heading, up to the next one of the second order."""
    below = text.partition(f'id="{heading}"')[2]
    assert below, heading
    return unescape(below.partition("<h2")[0])


def links(text: str) -> list[str]:
    """Where the links of a piece of a page lead, in order."""
    return re.findall(r'href="(/[^"]+)"', text)


def test_answers_that_fit_badly_lead_back_to_where_they_were_given(client: TestClient, workshop: Workshop) -> None:
    shown = section(client.get(f"/jobs/{OPENED}/odds").text, "doubts")
    expected = misfits(judge(workshop.open_job(OPENED)))
    assert expected
    for one in expected:
        assert one.words in shown
        assert one.rarity[1:] in shown
        assert all(words in shown for words in one.against)
    assert f"/jobs/{OPENED}/bench-tests/element_resistance" in links(shown)
    assert any(address.endswith("#q-pins_conduct") for address in links(shown))


def test_where_nothing_disagrees_nothing_is_said_of_it(client: TestClient) -> None:
    text = client.get(f"/jobs/{FRESH}/odds").text
    assert "Fits badly" not in text
    assert "Worth opening" not in text


def test_next_checks_are_those_within_reach(client: TestClient, workshop: Workshop) -> None:
    opinion = judge(workshop.open_job(OPENED))
    near = [check.key for check in opinion.checks if check.within_reach]
    shown = links(section(client.get(f"/jobs/{OPENED}/odds").text, "checks"))
    assert [re.split(r"#q-|/", address)[-1] for address in shown] == near[: len(shown)]
    assert shown


def test_an_opening_says_minutes_and_worth_and_holds_its_questions(client: TestClient, workshop: Workshop) -> None:
    shown = section(client.get(f"/jobs/{OPENED}/odds").text, "openings")
    folded = re.findall(r"<details class=\"opening\">(.*?)</details>", shown, flags=re.DOTALL)
    expected = bundles(judge(workshop.open_job(OPENED)))[: len(folded)]
    assert len(folded) >= 3
    for text, bundle in zip(folded, expected, strict=True):
        assert [re.split(r"#q-|/", address)[-1] for address in links(text)] == [check.key for check in bundle.checks]
        figures = re.search(r"worth about ([\d\u202f]+)(?:\u00a0±\u00a0(\d+))?\u00a0EUR", text)
        assert figures is not None
        assert float(figures[1].replace("\u202f", "")) == pytest.approx(bundle.worth, abs=0.51)
        assert float(figures[2] or 0) == pytest.approx(2 * bundle.worth_sigma, abs=0.51)


def test_what_to_wait_with_names_the_check_to_make_first(client: TestClient, workshop: Workshop) -> None:
    shown = section(client.get(f"/jobs/{OPENED}/odds").text, "waits")
    expected = not_yet(judge(workshop.open_job(OPENED)))
    assert expected
    for one in expected:
        assert one.name in shown
        assert one.check.ask in shown
        assert chance_words(one.chance)[1:] in shown


def test_advice_is_worked_out_once_for_a_journal(workshop: Workshop) -> None:
    desk = Desk(workshop)
    opened = desk.open(FRESH)
    assert desk.advised(opened) is desk.advised(desk.open(FRESH))
    assert desk.accounted(opened, "element") is desk.accounted(opened, "element")
    assert desk.traced(opened, "told_trips") is desk.traced(opened, "told_trips")
    assert desk.traced(opened, "told_trips") is not desk.traced(desk.open(OPENED), "told_trips")


def test_advice_is_worked_out_anew_when_the_journal_moves(tmp_path: Path) -> None:
    shop = made(tmp_path / "quay")
    desk = Desk(shop)
    before = desk.advised(desk.open(NUMBER))
    note(shop, desk.open(NUMBER), [Line({"kind": "remarked", "words": "It drips."}, "ic")])
    assert desk.advised(desk.open(NUMBER)) is not before
    shop.store.close()


def test_a_component_names_its_rival_and_what_could_change_it(client: TestClient, workshop: Workshop) -> None:
    opinion = judge(workshop.open_job(OPENED))
    other = rival(opinion, "element")
    assert other is not None
    text = client.get(f"/jobs/{OPENED}/odds/element").text
    shown = section(text, "rival-head")
    assert f"/jobs/{OPENED}/odds/{other.component}" in links(shown)
    assert f"{chance_words(other.then)} that something is wrong with that; now {chance_words(other.now)}" in shown
    shown = section(text, "turns-head")
    expected = turns(opinion, "element")
    assert [re.split(r"#q-|/", address)[-1] for address in links(shown)[: len(expected)]] == [
        turn.key for turn in expected
    ]
    assert expected


def test_what_is_set_by_hand_has_no_rival(tmp_path: Path) -> None:
    shop = made(tmp_path / "quay")
    component = next(iter(shop.open_job(NUMBER).sheet.component))
    condition = shop.open_job(NUMBER).sheet.component[component].states[-1]
    line = {"kind": "fixed", "component": component, "condition": condition, "reason": "held it"}
    note(shop, shop.open_job(NUMBER), [Line(line, "ic")])
    with TestClient(bench_book(shop), base_url=HERE) as client:
        text = client.get(f"/jobs/{NUMBER}/odds/{component}").text
    assert "rival-head" not in text
    assert "turns-head" not in text
    shop.store.close()


def test_every_trouble_of_the_sheet_is_listed_and_told_ones_come_first(client: TestClient, workshop: Workshop) -> None:
    named = symptoms(workshop.open_job(OPENED).sheet)
    text = client.get(f"/jobs/{OPENED}/troubles").text
    for name, keys in named.items():
        assert name in unescape(text)
        assert f'href="/jobs/{OPENED}/troubles/{keys[0]}"' in text
    known = section(text, "known-head")
    assert links(known) == [f"/jobs/{OPENED}/troubles/told_trips"]
    assert "at once (told)" in known
    assert "normally (told)" in section(text, "others-head")
    assert f"/jobs/{OPENED}/troubles/told_trips" in links(client.get(f"/jobs/{OPENED}/odds").text)


def test_a_trouble_says_who_may_be_at_fault_in_words_figures_and_bars(client: TestClient, workshop: Workshop) -> None:
    traced = trace(judge(workshop.open_job(OPENED)), "told_trips")
    shown = section(client.get(f"/jobs/{OPENED}/troubles/told_trips").text, "blame-head")
    rows = re.findall(r"<li>(.*?)</li>", shown, flags=re.DOTALL)
    named = [one for one in traced.suspects if one.share >= 0.005]
    for row, suspect in zip(rows, named, strict=False):
        assert suspect.name in row
        assert chance_words(suspect.share)[1:] in row
        assert f"{round(100 * suspect.share)}\u00a0%" in row
        width = re.search(r'width="([\d.]+)"', row)
        assert width is not None
        assert float(width[1]) == pytest.approx(200 * suspect.share, abs=1.5)
    assert "this sheet does not know" in rows[-1]


def test_the_order_of_looking_is_numbered_as_traced_with_cautions_and_places(
    client: TestClient, workshop: Workshop
) -> None:
    traced = trace(judge(workshop.open_job(OPENED)), "told_trips")
    shown = section(client.get(f"/jobs/{OPENED}/troubles/told_trips").text, "order-head")
    steps = re.findall(r'<li class="operation">(.*?)</li>', shown, flags=re.DOTALL)
    assert len(steps) == len(traced.steps) > 1
    for text, step in zip(steps, traced.steps, strict=True):
        assert step.caution in text
        if step.kind == "open":
            assert links(text) == []
        else:
            assert step.ask in text
            assert [re.split(r"#q-|/", address)[-1] for address in links(text)] == [step.key]
    assert any(step.caution for step in traced.steps)
    assert any(step.kind == "open" for step in traced.steps)


def test_what_waits_behind_holds_names_them_and_stays_behind_them(client: TestClient, workshop: Workshop) -> None:
    traced = trace(judge(workshop.open_job(FRESH)), "told_heats")
    assert traced.waiting
    text = client.get(f"/jobs/{FRESH}/troubles/told_heats").text
    order, behind = section(text, "order-head"), section(text, "behind-head")
    for key, holds in traced.waiting.items():
        assert not [address for address in links(order) if re.search(rf"(#q-|/){key}$", address)]
        assert [address for address in links(behind) if re.search(rf"(#q-|/){key}$", address)]
        assert all(f"/jobs/{FRESH}/holds/{hold}" in links(behind) for hold in holds)


def test_a_trouble_that_nobody_saw_is_plainly_supposed(client: TestClient) -> None:
    assert "Supposed: nobody has been asked" in client.get(f"/jobs/{FRESH}/troubles/told_trips").text
    assert "Supposed: nobody has seen it" in client.get(f"/jobs/{OPENED}/troubles/told_heats").text
    assert "Supposed" not in client.get(f"/jobs/{OPENED}/troubles/told_trips").text


def test_a_trouble_is_found_by_any_of_its_questions(client: TestClient, workshop: Workshop) -> None:
    keys = next(keys for keys in symptoms(workshop.open_job(FRESH).sheet).values() if len(keys) > 1)
    heads = {re.findall(r"<h1>(.*?)</h1>", client.get(f"/jobs/{FRESH}/troubles/{key}").text)[0] for key in keys}
    assert len(heads) == 1


def test_a_trouble_that_the_sheet_does_not_name_is_refused_in_words(client: TestClient) -> None:
    refused = client.get(f"/jobs/{FRESH}/troubles/sings_at_night")
    assert refused.status_code == 404
    assert "sings_at_night" in refused.text


def test_a_sheet_without_troubles_says_so(tmp_path: Path) -> None:
    shop = made(tmp_path / "quay")
    assert symptoms(shop.open_job(NUMBER).sheet) == {}
    with TestClient(bench_book(shop), base_url=HERE) as client:
        assert "name no trouble" in client.get(f"/jobs/{NUMBER}/troubles").text
        assert client.get(f"/api/jobs/{NUMBER}/troubles").json() == {"symptoms": {}}
        assert client.get(f"/jobs/{NUMBER}/odds").status_code == 200
    shop.store.close()


@pytest.mark.parametrize(
    "address", ["odds", "odds/element", "troubles", "troubles/told_trips", "troubles/told_lever_feel"]
)
def test_every_link_into_the_job_leads_to_a_page_and_its_place(client: TestClient, address: str) -> None:
    main = client.get(f"/jobs/{OPENED}/{address}").text.partition("<main")[2].partition("</main>")[0]
    pages: dict[str, str] = {}
    for link in {link for link in links(unescape(main)) if link.startswith("/jobs/")}:
        page, _, place = link.partition("#")
        if page not in pages:
            shown = client.get(page)
            assert shown.status_code == 200, link
            pages[page] = shown.text
        assert not place or f'id="{place}"' in pages[page], link


def test_the_api_gives_accounts_and_troubles_as_the_command_does(client: TestClient, workshop: Workshop) -> None:
    opened = workshop.open_job(OPENED)
    opinion = judge(opened)
    base = f"/api/jobs/{OPENED}"
    assert client.get(f"{base}/why/element").json() == account_shape(opinion, "element")
    assert client.get(f"{base}/troubles").json() == symptoms_shape(opened.sheet)
    by_key = client.get(f"{base}/troubles/told_trips").json()
    assert by_key == trouble_shape(trace(opinion, "told_trips"))
    assert client.get(f"{base}/troubles/{by_key['symptom']}").json() == by_key


@pytest.mark.parametrize("address", ["why/spoon", "troubles/sings_at_night"])
def test_the_api_refuses_what_the_sheet_does_not_name(client: TestClient, address: str) -> None:
    refused = client.get(f"/api/jobs/{OPENED}/{address}")
    assert refused.status_code == 404
    assert refused.json()["refused"] == "NotFound"
    assert "Allowed" in refused.json()["says"]
