"""The rest of a job as a person does it: readings, odds, hold points, work, estimate, photographs, journal."""

from __future__ import annotations

import io
from typing import TYPE_CHECKING

import pytest
from PIL import Image
from playwright.sync_api import expect

if TYPE_CHECKING:
    from collections.abc import Callable

    from playwright.sync_api import FilePayload, Page

    from tests.browser.conftest import Shop, Watched

pytestmark = pytest.mark.browser

BOTH = pytest.mark.parametrize("scripts", [True, False], ids=["scripts", "no-scripts"])


def release(page: Page, job: str, hold: str) -> None:
    """Release a hold point with all its statements."""
    page.goto(f"{job}/holds/{hold}")
    for tick in page.locator("input[name='statement']").all():
        tick.check()
    page.get_by_role("button", name="Release hold").click()
    page.get_by_text("It holds until something is done that breaks it").wait_for()


@BOTH
def test_a_reading_is_asked_about_kept_and_explained(shop: Shop, window: Callable[..., Watched], scripts: bool) -> None:
    job = shop.new_job()
    page = window(scripts=scripts).go(f"{job}/bench-tests/element_resistance")
    page.get_by_label("What the instrument shows").fill("48,4")
    page.locator("label.cell", has_text="kohm").click()
    page.get_by_label("With which instrument").fill("meter 2")
    page.get_by_role("button", name="Enter the reading").click()
    page.get_by_role("alert").wait_for()
    assert "48.4 ohm" in page.get_by_role("alert").inner_text()
    assert page.get_by_label("What the instrument shows").input_value() == "48,4"
    assert page.get_by_label("With which instrument").input_value() == "meter 2"
    assert shop.entries(job) == ["arrived"]
    page.locator("label.cell", has_text="kohm").locator("xpath=preceding-sibling::label[1]").click()
    page.get_by_role("button", name="I corrected it above").click()
    page.get_by_role("heading", name="48.4 ohm").wait_for()
    assert "W when hot" in page.locator("#meaning").inner_text()
    assert shop.entries(job) == ["arrived", "measured"]


def test_a_strange_reading_is_taken_when_it_was_read_so(shop: Shop, window: Callable[..., Watched]) -> None:
    job = shop.new_job()
    page = window().go(f"{job}/bench-tests/element_resistance")
    page.get_by_label("What the instrument shows").fill("48.4")
    page.locator("label.cell", has_text="kohm").click()
    page.get_by_role("button", name="Enter the reading").click()
    page.get_by_role("button", name="It was read so").click()
    page.get_by_role("heading", name="48.4 kohm").wait_for()
    assert shop.entries(job) == ["arrived", "measured"]


@pytest.mark.parametrize("typed", ["1,234", "minus", "-3", "nan"])
def test_what_cannot_be_read_is_refused_and_kept(shop: Shop, window: Callable[..., Watched], typed: str) -> None:
    job = shop.new_job()
    page = window().go(f"{job}/bench-tests/element_resistance")
    page.get_by_label("What the instrument shows").fill(typed)
    page.get_by_role("button", name="Enter the reading").click()
    page.get_by_role("alert").wait_for()
    assert page.get_by_label("What the instrument shows").input_value() == typed
    expect(page.locator("#value")).to_be_focused()
    assert shop.entries(job) == ["arrived"]


def test_no_number_is_a_reading_too_and_the_instrument_is_remembered(
    shop: Shop, window: Callable[..., Watched]
) -> None:
    job = shop.new_job()
    page = window().go(f"{job}/bench-tests/insulation_resistance")
    page.locator("label.cell", has_text="over range").click()
    page.get_by_label("What the instrument shows").fill("200 Mohm")
    page.get_by_label("With which instrument").fill("tester 1")
    page.get_by_label("What kind it is").select_option("insulation tester")
    page.get_by_label("Test voltage").fill("500")
    page.get_by_role("checkbox").first.check()
    page.get_by_role("button", name="Enter the reading").click()
    page.get_by_role("heading", name="above 200 Mohm").wait_for()
    assert "passed" in page.locator(".verdict-line").inner_text().lower()
    assert page.get_by_label("With which instrument").input_value() == "tester 1"
    assert page.get_by_label("Test voltage").input_value() == "500"


@BOTH
def test_odds_say_the_same_on_drawing_and_list_and_can_be_set_by_hand(
    shop: Shop, window: Callable[..., Watched], scripts: bool
) -> None:
    job = shop.new_job({"kind": "answered", "question": "stored_wet", "answer": "yes", "manner": "told"})
    page = window("desk", scripts=scripts).go(f"{job}/odds")
    listed = {
        item.locator("a").get_attribute("href"): item.locator(".word").inner_text()
        for item in page.locator(".parts-list li").all()
    }
    assert len(listed) >= 45
    drawn = {
        label.get_attribute("data-for"): label.locator("text.wd").text_content()
        for label in page.locator(".plate .lab").all()
    }
    shared = {key: word for key, word in drawn.items() if f"{job.removeprefix(shop.address[:-1])}/odds/{key}" in listed}
    assert len(shared) >= 45
    assert all(listed[f"{job.removeprefix(shop.address[:-1])}/odds/{key}"] == word for key, word in shared.items())
    page.goto(f"{job}/odds/piston_seals")
    assert page.locator(".odds .swatch").count() == 10
    assert page.locator(".plate .part.now").get_attribute("data-component") == "piston_seals"
    page.get_by_role("link", name="Show the figures").click()
    assert "0." in page.locator(".odds").inner_text()
    page.get_by_role("link", name="Set it by hand").click()
    page.locator("#set .cells label").last.click()
    page.get_by_label("I overrule the odds").check()
    page.get_by_label("Why, in your words").fill("they crumble under the nail")
    page.get_by_role("button", name="Set it", exact=True).click()
    page.locator("h1", has_text="set by N. Hale").wait_for()
    page.get_by_role("button", name="Take back what was set").click()
    page.locator("h1", has_text="set by").wait_for(state="detached")
    assert shop.entries(job) == ["arrived", "answered", "fixed", "fixed"]


@BOTH
def test_a_told_trouble_is_traced_to_its_first_look(shop: Shop, window: Callable[..., Watched], scripts: bool) -> None:
    job = shop.new_job({"kind": "answered", "question": "told_trips", "answer": "at-once", "manner": "told"})
    page = window(scripts=scripts).go(f"{job}/odds")
    page.get_by_role("main").get_by_role("link", name="Trips the breaker").click()
    page.locator("h1", has_text="Trips the breaker").wait_for()
    assert page.get_by_text("Supposed").count() == 0
    assert "%" in page.locator(".blame li").first.inner_text()
    behind = page.locator("details.behind").first
    behind.locator("summary").click()
    expect(behind.get_by_role("link", name="Hold 1")).to_be_visible()
    page.locator(".plan .operation a").first.click()
    page.wait_for_url("**/walk-round/**")
    assert page.locator(f"#{page.url.partition('#')[2]}").is_visible()
    page.goto(f"{job}/troubles/told_lever_feel")
    assert page.get_by_text("Supposed").count() == 1
    assert shop.entries(job) == ["arrived", "answered"]


@BOTH
def test_held_work_does_not_start_until_its_hold_is_released(
    shop: Shop, window: Callable[..., Watched], scripts: bool
) -> None:
    job = shop.new_job()
    page = window(scripts=scripts).go(f"{job}/plan")
    page.locator("a[href$='open:base_plate']").click()
    held = page.url
    page.get_by_role("button", name="Start the operation").click()
    alert = page.get_by_role("alert")
    alert.wait_for()
    assert "plug is out" in alert.inner_text()
    assert shop.entries(job) == ["arrived"]
    page.get_by_role("link", name="Release hold 1").click()
    page.get_by_role("button", name="Release hold 1").click()
    page.get_by_role("alert").wait_for()
    assert shop.entries(job) == ["arrived"]
    for tick in page.locator("input[name='statement']").all():
        tick.check()
    page.get_by_role("button", name="Release hold 1").click()
    page.wait_for_url(held)
    page.get_by_role("button", name="Start the operation").click()
    page.get_by_text("In hand since").wait_for()
    page.get_by_label("Minutes of hands").fill("12")
    page.get_by_role("button", name="Finished").click()
    page.get_by_text("Finished. Begun").wait_for()
    assert shop.entries(job) == ["arrived", "released", "started", "stopped"]


def test_work_that_happened_anyway_is_recorded_as_done_while_the_hold_stood(
    shop: Shop, window: Callable[..., Watched]
) -> None:
    job = shop.new_job()
    page = window().go(f"{job}/plan")
    page.locator("a[href$='open:base_plate']").click()
    page.get_by_role("button", name="It was done already").click()
    page.get_by_text("Finished. Begun").wait_for()
    page.goto(f"{job}/holds/isolated")
    assert "It proves nothing" in page.locator("main").inner_text()
    assert page.locator(".hold-line a.over").count() >= 1
    number = int(job.rsplit("/", 1)[1])
    (deed,) = shop.workshop.open_job(number).job.deeds
    assert "isolated" in deed.done_while


def test_a_prompt_is_answered_before_something_moves(shop: Shop, window: Callable[..., Watched]) -> None:
    job = shop.new_job({"kind": "chose", "treatment": "replace_group_gasket", "decision": "do"})
    page = window().go(f"{job}/plan/record:gasket_thickness")
    page.get_by_label("Thickness as found").fill("8 mm, bevel up")
    page.get_by_role("button", name="Record it").click()
    page.get_by_text("Recorded: 8 mm, bevel up").wait_for()
    assert shop.entries(job) == ["arrived", "chose", "remarked", "started", "stopped"]


@BOTH
def test_the_estimate_is_set_as_a_paper_and_answered(shop: Shop, window: Callable[..., Watched], scripts: bool) -> None:
    job = shop.new_job()
    one = window(scripts=scripts)
    page = one.go(f"{job}/estimate")
    assert "eight in ten between" in page.locator(".range").inner_text()
    picture = page.locator(".curve img")
    picture.scroll_into_view_if_needed()
    if scripts:
        page.wait_for_function("() => document.querySelector('.curve img').naturalWidth > 0")
    page.get_by_role("button", name="Set the paper for the owner").click()
    link = page.locator(".paper a").first
    link.wait_for()
    paper = one.context.request.get(f"{shop.address[:-1]}{link.get_attribute('href')}")
    assert paper.headers["content-type"] == "application/pdf"
    assert paper.body().startswith(b"%PDF")
    page.locator(".owner-answer summary").click()
    page.get_by_label("Who answered").fill("Mrs Aldous")
    page.get_by_role("button", name="Agreed to it").click()
    page.get_by_text("agreed by Mrs Aldous, in person").wait_for()
    assert shop.entries(job) == ["arrived", "issued", "approved"]


def picture(colour: str) -> FilePayload:
    """A small picture as a file input takes it."""
    kept = io.BytesIO()
    Image.new("RGB", (64, 48), colour).save(kept, "PNG")
    return {"name": f"{colour}.png", "mimeType": "image/png", "buffer": kept.getvalue()}


@BOTH
def test_photographs_are_kept_several_at_once(shop: Shop, window: Callable[..., Watched], scripts: bool) -> None:
    job = shop.new_job()
    page = window(scripts=scripts).go(f"{job}/photographs?zone=group#take")
    page.get_by_label("Or choose several").set_input_files([picture("grey"), picture("brown")])
    page.get_by_label("What they show").fill("screen from below")
    page.get_by_role("button", name="Keep the pictures").click()
    page.locator("h1", has_text="Two pictures").wait_for()
    assert page.locator(".photos img").count() == 2
    assert page.locator("h2", has_text="Lever and group").count() == 1
    source = page.locator(".photos img").first.get_attribute("src")
    kept = page.context.request.get(f"{shop.address[:-1]}{source}")
    assert kept.headers["content-type"] == "image/png"
    assert shop.entries(job) == ["arrived", "photographed", "photographed"]


def test_a_file_that_is_no_picture_is_refused(shop: Shop, window: Callable[..., Watched]) -> None:
    job = shop.new_job()
    page = window().go(f"{job}/photographs")
    file: FilePayload = {"name": "notes.png", "mimeType": "image/png", "buffer": b"not a picture"}
    page.get_by_label("Take one now").set_input_files(file)
    page.get_by_label("What they show").fill("the screen")
    page.get_by_role("button", name="Keep the pictures").click()
    page.get_by_role("alert").wait_for()
    assert page.get_by_label("What they show").input_value() == "the screen"
    assert shop.entries(job) == ["arrived"]


@BOTH
def test_a_remark_is_entered_and_struck_and_stays_readable(
    shop: Shop, window: Callable[..., Watched], scripts: bool
) -> None:
    job = shop.new_job()
    page = window(scripts=scripts).go(f"{job}/journal")
    page.get_by_label("Remark").fill("It always dripped a little, <b>says</b> the owner.")
    page.get_by_role("button", name="Enter the remark").click()
    words = page.get_by_text("It always dripped a little, <b>says</b> the owner.")
    words.wait_for()
    page.get_by_role("link", name="Strike entry 2").click()
    page.get_by_label("Why").fill("said of the other machine")
    page.get_by_role("button", name="Strike it").click()
    page.locator("li.struck").wait_for()
    assert "said of the other machine" in page.locator("li.struck").inner_text()
    assert words.is_visible()
    assert shop.entries(job) == ["arrived", "remarked", "withdrew"]


@BOTH
def test_a_machine_is_taken_in(shop: Shop, window: Callable[..., Watched], scripts: bool) -> None:
    page = window(scripts=scripts).go("/")
    page.get_by_role("main").get_by_role("link", name="Take in a machine").click()
    page.get_by_label("What is it").fill("Column lever")
    page.get_by_label("Volts on the plate").fill("1,234 V")
    page.get_by_role("button", name="Take it in").click()
    page.get_by_role("alert").wait_for()
    assert page.get_by_label("What is it").input_value() == "Column lever"
    page.get_by_label("Volts on the plate").fill("220 V")
    page.get_by_label("Year of making").fill("1971")
    page.get_by_role("button", name="Take it in").click()
    page.locator(".whose b", has_text="Column lever, 1971").wait_for()
    job = page.url.split("/walk-round")[0]
    assert shop.entries(job) == ["arrived"]
    page.goto(shop.address)
    assert page.locator(".machine", has_text="Column lever, 1971").count() >= 1
