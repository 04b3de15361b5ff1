"""An instrument as a person uses it: cautions first, a slip asked about, a log sent, the answer kept in the journal."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest
from playwright.sync_api import expect

from brasswright.bench import INSTRUMENTS

if TYPE_CHECKING:
    from collections.abc import Callable

    from playwright.sync_api import FilePayload

    from tests.browser.conftest import Shop, Watched

pytestmark = pytest.mark.browser

BOTH = pytest.mark.parametrize("scripts", [True, False], ids=["scripts", "no-scripts"])


@BOTH
def test_from_a_reading_to_a_remark(shop: Shop, window: Callable[..., Watched], scripts: bool) -> None:
    job = shop.new_job(
        {"kind": "measured", "reading": "element_resistance", "text": "48.4 ± 0.2 ohm", "instrument": "meter 2"}
    )
    page = window("landscape", scripts=scripts).go(f"{job}/bench-tests/element_resistance")
    page.get_by_role("link", name="More with this instrument").click()
    expect(page.get_by_role("heading", level=1)).to_have_text("Element")
    expect(page.get_by_label("Rated voltage needed")).to_have_value("220 V")
    page.get_by_role("textbox", name="Lead resistance").fill("0.3")
    page.get_by_role("button", name="Work it out").click()
    expect(page.locator("#answer-head")).to_contain_text("± 4 W")
    before = len(shop.entries(job))
    page.get_by_role("button", name="Enter in the journal as a remark").click()
    page.wait_for_url("**/journal#entries")
    assert shop.entries(job)[before:] == ["remarked"]
    expect(page.get_by_text("lead resistance 0.3 ohm")).to_be_visible()


@BOTH
def test_a_slip_is_asked_about_and_everything_stays(window: Callable[..., Watched], scripts: bool) -> None:
    page = window("portrait", scripts=scripts).go("/instruments")
    page.get_by_role("link", name="Protective earth").click()
    page.get_by_label("Resistance needed").fill("60")
    page.get_by_label("Tester").select_option("low-ohm tester")
    page.get_by_role("button", name="Work it out").click()
    expect(page.get_by_role("alert")).to_contain_text("Was it really read so?")
    expect(page.get_by_role("alert")).to_be_in_viewport()
    expect(page.get_by_label("Resistance needed")).to_have_value("60")
    expect(page.get_by_label("Tester")).to_have_value("low-ohm tester")
    page.get_by_label("It was read so").check()
    page.get_by_role("button", name="Work it out").click()
    expect(page.locator("#answer-head")).to_have_text("Failed")
    expect(page.locator("#answer-head")).to_be_in_viewport()


@BOTH
def test_a_log_is_sent_and_drawn(window: Callable[..., Watched], scripts: bool) -> None:
    page = window("portrait", scripts=scripts, scheme="dark").go("/instruments/cooling")
    log: FilePayload = {
        "name": "cooling.csv", "mimeType": "text/csv", "buffer": INSTRUMENTS["cooling"].example["log"].encode()
    }  # fmt: skip
    page.get_by_label("Log as a file").set_input_files(log)
    page.get_by_role("button", name="Work it out").click()
    picture = page.get_by_role("img", name="As logged: temperature against time")
    expect(picture).to_be_visible()
    assert picture.evaluate("image => image.decode().then(() => image.naturalWidth > 0 && image.currentSrc)")
    assert "dark" in picture.evaluate("image => image.currentSrc")
    expect(page.get_by_role("cell", name="107.1")).to_be_visible()
    expect(page.get_by_label("Log needed")).to_have_value(INSTRUMENTS["cooling"].example["log"])


def test_a_trouble_leads_to_its_field(window: Callable[..., Watched]) -> None:
    page = window("desk").go("/instruments/element?resistance=48.4+ohm&rated_voltage=220+mm")
    page.get_by_role("alert").get_by_role("link", name="Rated voltage").click()
    page.keyboard.press("Tab")
    expect(page.get_by_label("unit of rated voltage")).to_be_focused()
