"""The walk-round on a tablet: one tap an answer, the sweep, words of one's own, presence; with and without scripts."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest
from playwright.sync_api import expect

if TYPE_CHECKING:
    from collections.abc import Callable

    from playwright.sync_api import Locator, Page

    from tests.browser.conftest import Shop, Watched

pytestmark = pytest.mark.browser


def question(page: Page, place: int = 0) -> Locator:
    """A question of the zone."""
    return page.locator(".question[id^='q-']").nth(place)


def test_one_tap_is_one_answer_without_loading_the_page_again(shop: Shop, window: Callable[..., Watched]) -> None:
    job = shop.new_job()
    one = window()
    page = one.go(f"{job}/walk-round/group")
    loads = one.loads
    cell = question(page).locator(".ladder .cell").nth(1)
    identity = cell.get_attribute("id")
    cell.tap()
    page.wait_for_function("id => document.getElementById(id).getAttribute('aria-pressed') === 'true'", arg=identity)
    assert one.loads == loads
    expect(page.locator(f"#{identity}")).to_be_focused()
    assert shop.entries(job) == ["arrived", "answered"]
    assert page.locator("#next-check").is_visible()


def test_quick_taps_are_all_entered_and_the_next_tap_shows_them(shop: Shop, window: Callable[..., Watched]) -> None:
    job = shop.new_job()
    page = window().go(f"{job}/walk-round/group")
    cells = [question(page, place).locator(".ladder .cell").first for place in range(4)]
    for cell in cells:
        cell.tap()
    page.wait_for_load_state("networkidle")
    question(page, 4).locator(".ladder .cell").first.tap()
    expect(page.locator(".question .cell[aria-pressed='true']")).to_have_count(5)
    assert shop.entries(job) == ["arrived", *["answered"] * 5]


def test_what_the_owner_tells_is_asked_and_not_looked_at(shop: Shop, window: Callable[..., Watched]) -> None:
    page = window().go(f"{shop.new_job()}/walk-round/story")
    expect(page.get_by_role("button", name="Asked all of these, nothing else told")).to_be_visible()
    assert page.get_by_role("button", name="Looked at all of these").count() == 0


def test_a_whole_zone_is_done_with_the_sweep_and_taken_back(shop: Shop, window: Callable[..., Watched]) -> None:
    job = shop.new_job()
    page = window().go(f"{job}/walk-round/group")
    question(page, 1).locator(".ladder .cell").last.tap()
    page.wait_for_selector("form .question .cell[aria-pressed='true']")
    page.get_by_role("button", name="Looked at all of these, nothing else seen").tap()
    page.wait_for_selector(".cell.swept")
    single = question(page, 1)
    assert single.locator(".cell.swept").count() == 0
    assert single.locator(".ladder .cell").last.get_attribute("aria-pressed") == "true"
    page.get_by_role("button", name="Take it back").tap()
    page.wait_for_selector("button:has-text('Looked at all of these')")
    assert page.locator(".cell.swept").count() == 0
    assert shop.entries(job) == ["arrived", "answered", "swept", "withdrew"]


@pytest.mark.parametrize("scripts", [True, False], ids=["scripts", "no-scripts"])
def test_the_whole_journey(shop: Shop, window: Callable[..., Watched], scripts: bool) -> None:
    job = shop.new_job()
    one = window(scripts=scripts, person="")
    page = one.go(f"{job}/walk-round")
    page.get_by_role("button", name="N. Hale").tap()
    page.wait_for_selector(".who-is-here", state="detached")
    page.get_by_role("link", name="Next stop").tap()
    page.wait_for_load_state()
    page.get_by_role("link", name="Next stop").tap()
    page.wait_for_load_state()
    heading = page.locator("h1").inner_text()
    question(page).locator(".ladder .cell").first.tap()
    page.locator("form .question .ladder .cell[aria-pressed='true']").wait_for()
    question(page, 1).get_by_role("button", name="cannot see yet").tap()
    page.locator(".asides .cell[aria-pressed='true']").wait_for()
    question(page, 2).get_by_role("button", name="something else").tap()
    field = page.get_by_label("What is it, in your words?")
    field.wait_for()
    field.fill("a bent spoon in the tray")
    page.get_by_role("button", name="Enter the words").tap()
    page.get_by_text("“a bent spoon in the tray”").wait_for()
    page.get_by_role("button", name="Looked at all of these").tap()
    page.get_by_role("button", name="Take it back").wait_for()
    assert page.locator("h1").inner_text() == heading
    page.locator("#parts summary").tap()
    page.locator("form.presence").first.get_by_role("button", name="missing").tap()
    page.locator("form.presence .cell[aria-pressed='true']").wait_for()
    assert page.locator("#parts").get_attribute("open") is not None
    kinds = ["arrived", "answered", "answered", "answered", "swept", "identified"]
    assert shop.entries(job) == kinds


def test_something_else_without_words_is_refused_and_asks_for_them(shop: Shop, window: Callable[..., Watched]) -> None:
    job = shop.new_job()
    one = window()
    page = one.go(f"{job}/walk-round/group?words=pivot_pins_look")
    key = question(page).get_attribute("id") or ""
    sent = one.context.request.post(
        f"{job}/walk-round/group",
        form={"question": key.removeprefix("q-"), "aside": "something else"},
        headers={"origin": shop.address.rstrip("/")},
    )
    assert sent.status == 422
    assert "needs words" in sent.text()
    assert shop.entries(job) == ["arrived"]


def test_the_drawing_inks_in_what_was_seen(shop: Shop, window: Callable[..., Watched]) -> None:
    job = shop.new_job()
    page = window().go(f"{job}/walk-round/outside")
    before = page.locator(".plate .part.ink").count()
    page.get_by_role("button", name="Looked at all of these").tap()
    page.wait_for_selector(".cell.swept")
    page.goto(f"{job}/odds")
    assert page.locator(".plate .part.ink, .plate .part.pencil").count() > before
    words = page.locator(".parts-list li").first.locator(".word").inner_text()
    assert words != "not known"


def test_two_people_on_one_question_settle_it_themselves(shop: Shop, window: Callable[..., Watched]) -> None:
    job = shop.new_job()
    hers, his = window(), window(person="ro")
    first, second = hers.go(f"{job}/walk-round/group"), his.go(f"{job}/walk-round/group")
    question(first).locator(".ladder .cell").first.tap()
    first.wait_for_selector(".ladder .cell[aria-pressed='true']")
    question(second, 1).locator(".ladder .cell").first.tap()
    second.wait_for_selector(".ladder .cell[aria-pressed='true'] >> nth=1")
    third = window(person="ro")
    stale = third.go(f"{job}/walk-round/group")
    question(first).locator(".ladder .cell").last.tap()
    first.wait_for_selector("form .question >> nth=0 >> .ladder .cell[aria-pressed='true'] >> nth=-1")
    question(stale).locator(".ladder .cell").nth(1).tap()
    alert = stale.get_by_role("alert")
    alert.wait_for()
    assert "N. Hale" in alert.inner_text()
    count = len(shop.entries(job))
    alert.get_by_role("button", name="Put mine after theirs").tap()
    stale.wait_for_selector("[role='alert']", state="detached")
    assert question(stale).locator(".ladder .cell").nth(1).get_attribute("aria-pressed") == "true"
    assert len(shop.entries(job)) == count + 1


def test_a_form_sent_twice_does_no_harm(shop: Shop, window: Callable[..., Watched]) -> None:
    job = shop.new_job()
    one = window()
    page = one.go(f"{job}/walk-round/group")
    form = page.locator("form:has(> .question)").first
    sent: dict[str, str | float | bool] = {
        name: form.locator(f"input[name='{name}']").get_attribute("value") or ""
        for name in ("entry", "seen", "question")
    }
    sent["answer"] = form.locator(".ladder .cell").first.get_attribute("value") or ""
    for _ in range(2):
        answer = one.context.request.post(
            f"{job}/walk-round/group", form=sent, headers={"origin": shop.address.rstrip("/")}
        )
        assert answer.ok
    assert shop.entries(job) == ["arrived", "answered"]
