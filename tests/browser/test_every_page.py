"""Every page at every size: clean for axe-core, nothing clipped, targets large enough, focus where expected."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest
from playwright.sync_api import expect

if TYPE_CHECKING:
    from collections.abc import Callable

    from tests.browser.conftest import Shop, Watched

pytestmark = pytest.mark.browser

PAGES = (
    "/",
    "/new",
    "{job}/journal",
    "{job}/journal?strike={entry}",
    "{job}/walk-round/before",
    "{job}/walk-round/group",
    "{job}/walk-round/outside?parts=open",
    "{job}/photographs",
    "{job}/bench-tests",
    "{job}/bench-tests/element_resistance",
    "{job}/bench-tests/insulation_resistance",
    "{job}/bench-tests/test/earth_continuity",
    "{job}/bench-tests/test/flex_and_plug_visual",
    "{job}/odds",
    "{job}/odds/piston_seals",
    "{job}/odds/piston_seals?set=yes&figures=yes",
    "{opened}/odds",
    "{opened}/odds/element?figures=yes",
    "{job}/troubles",
    "{opened}/troubles",
    "{job}/troubles/told_trips",
    "{opened}/troubles/told_trips",
    "{opened}/troubles/told_lever_feel",
    "{job}/sizes/piston_seals",
    "/dimension-book",
    "/calibration",
    "{job}/plan",
    "{job}/plan/open:base_plate",
    "{job}/plan/record:gasket_thickness",
    "{job}/holds/isolated",
    "{job}/holds/dead_electrics",
    "{job}/estimate",
    "{job}/no-such-page",
    "/instruments",
    "/instruments/earth",
    "/instruments/element?job={number}&resistance=48.4+%C2%B1+0.2+ohm",
    "/instruments/element?resistance=48.4+kohm&rated_voltage=220&rated_power=many",
    "/instruments/cooling?example=yes",
    "/instruments/seal?example=yes",
)
SIZES = (("landscape", "light"), ("portrait", "dark"), ("phone", "light"), ("desk", "dark"))

SIZE: dict[str, object] = {
    "kind": "sized",
    "component": "piston_seals",
    "dimension": "bore",
    "text": "31.7 mm",
    "how": "measured",
}

SMALL_TARGETS = """() => {
  const small = [];
  const inText = element => element.closest('p, figcaption, .second, .lead, td') && element.matches('a');
  for (const element of document.querySelectorAll('a[href], button, summary, select, input:not([type=hidden])')) {
    if (element.closest('svg') || element.matches('.skip, .tabs a') || inText(element)) continue;
    const target = element.closest('label.tick, label.cell') || element;
    const box = target.getBoundingClientRect();
    if (box.width === 0 || box.height === 0) continue;
    if (box.height < 43.5 || box.width < 43.5)
      small.push(`${element.tagName} ${element.className} '${element.textContent.trim().slice(0, 40)}' ` +
        `${Math.round(box.width)} x ${Math.round(box.height)}`);
  }
  return small;
}"""
CLIPPED = """() => [...document.querySelectorAll('button, .cell span, h1, h2, p, label, a')].filter(element =>
    element.scrollWidth > element.clientWidth + 1 && getComputedStyle(element).display !== 'inline' &&
    !element.closest('.heard, .hold-line') && !element.matches('.heard'))
  .map(element => `${element.tagName} ${element.className} '${element.textContent.trim().slice(0, 40)}'`)"""


@pytest.fixture(scope="module")
def job(shop: Shop) -> str:
    """A job with something of everything."""
    return shop.new_job(
        {"kind": "remarked", "words": "It always dripped a little."},
        {"kind": "answered", "question": "stored_wet", "answer": "yes", "manner": "told"},
        {"kind": "swept", "zone": "outside"},
        {"kind": "identified", "component": "pilot_lamp", "presence": "missing"},
        {"kind": "measured", "reading": "element_resistance", "text": "48.4 ± 0.2 ohm", "instrument": "meter 2"},
        SIZE,
        {"kind": "fixed", "component": "basket", "condition": "dented", "reason": "seen in daylight"},
    )


@pytest.fixture(scope="module")
def opened(shop: Shop) -> str:
    """A job with three holds released, a trouble told of it, and answers that disagree."""
    return shop.new_job(
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
def jobs(job: str, opened: str) -> dict[str, str]:
    """Both jobs by the names under which the addresses ask for them."""
    return {"job": job, "opened": opened}


@pytest.mark.parametrize(("size", "scheme"), SIZES, ids=[size for size, _ in SIZES])
def test_pages_are_clean(
    shop: Shop, jobs: dict[str, str], window: Callable[..., Watched], size: str, scheme: str
) -> None:
    one, job = window(size, scheme=scheme), jobs["job"]
    entry = shop.workshop.open_job(int(job.rsplit("/", 1)[1])).job.remarks[0].id
    found: list[str] = []
    for address in PAGES:
        page = one.go(address.format(**jobs, entry=entry, number=job.rsplit("/", 1)[1]))
        page.evaluate("for (const one of document.querySelectorAll('.opening, .behind')) one.open = true")
        where = f"{address} ({size})"
        troubles = [
            *one.axe(),
            *page.evaluate(SMALL_TARGETS),
            *page.evaluate(CLIPPED),
        ]
        if page.evaluate("document.documentElement.scrollWidth > document.documentElement.clientWidth"):
            troubles.append("the page is wider than the window")
        if page.locator("h1").count() != 1:
            troubles.append("not one heading of the first order")
        found += [f"{where}: {trouble}" for trouble in troubles]
    one.troubles[:] = [trouble for trouble in one.troubles if "status of 404" not in trouble]
    assert not found, "\n".join(found)


def test_the_keyboard_reaches_the_work_first(job: str, window: Callable[..., Watched]) -> None:
    page = window("desk").go(f"{job}/walk-round/group")
    page.keyboard.press("Tab")
    expect(page.locator(".skip")).to_be_focused()
    page.keyboard.press("Enter")
    expect(page.locator("#main")).to_be_focused()
    page.keyboard.press("Tab")
    assert page.evaluate("document.activeElement.closest('#main') !== null")


def test_an_answer_by_keyboard_keeps_the_focus(job: str, window: Callable[..., Watched]) -> None:
    page = window("desk").go(f"{job}/walk-round/steam")
    cell = page.locator(".ladder .cell").nth(1)
    cell.focus()
    identity = cell.get_attribute("id")
    page.keyboard.press("Enter")
    page.wait_for_function("id => document.getElementById(id).getAttribute('aria-pressed') === 'true'", arg=identity)
    expect(page.locator(f"#{identity}")).to_be_focused()


def test_the_next_check_stays_in_sight(job: str, window: Callable[..., Watched]) -> None:
    page = window("portrait").go(f"{job}/walk-round/group")
    for _ in range(3):
        box = page.locator("#next-check").bounding_box()
        assert box is not None
        assert box["y"] + box["height"] <= 1180 + 1
        page.mouse.wheel(0, 700)
    assert page.locator("#next-check .button").is_visible()


def test_the_policy_refuses_what_is_not_ours(job: str, window: Callable[..., Watched]) -> None:
    one = window()
    page = one.go(f"{job}/journal")
    page.evaluate(
        "() => { const s = document.createElement('script'); s.textContent = 'window.got_in = 1'; "
        "document.body.append(s) }"
    )
    assert page.evaluate("window.got_in") is None
    assert any("Content Security Policy" in trouble for trouble in one.troubles)
    one.troubles.clear()
