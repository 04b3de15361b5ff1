"""A real server on a free port, a small workshop, and Chromium watched for everything a page must not do."""

from __future__ import annotations

import re
import shutil
import subprocess
import sys
from dataclasses import dataclass, field
from datetime import UTC, datetime
from pathlib import Path
from typing import TYPE_CHECKING
from uuid import uuid4

import pytest
from playwright.sync_api import BrowserContext, Page, sync_playwright

from brasswright.workshop.folder import Workshop, found
from brasswright.workshop.receive import receive
from brasswright.workshop.record import Line, note
from brasswright.workshop.settings import set_values

if TYPE_CHECKING:
    from collections.abc import Callable, Generator, Iterator

    from playwright.sync_api import Browser

CHROMIUM = shutil.which("chromium") or shutil.which("chromium-browser")
AXE = next((Path(__file__).parent / "vendor").glob("axe-*.min.js"))
VIEWPORTS = {"landscape": (1180, 820), "portrait": (820, 1180), "phone": (390, 844), "desk": (1440, 900)}
AXE_RULES = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"]
PEOPLE = {"nh": "N. Hale", "ro": "R. Oduya"}


@dataclass(frozen=True)
class Shop:
    """A workshop that is being served: its address, and the workshop itself opened from this side."""

    address: str
    workshop: Workshop

    def new_job(self, *lines: dict[str, object]) -> str:
        """Take in a machine, enter these lines, and return the job's address."""
        fields = {
            "sheet": "home-spring-lever",
            "owner": f"owner-{uuid4().hex[:6]}",
            "machine": {"description": "Spring lever", "year": 1962, "rated_voltage_v": 220.0, "rated_power_w": 1000.0},
        }
        identity = receive(self.workshop, fields, by="nh")
        number = next(row.number for row in self.workshop.store.jobs() if row.uuid == identity)
        if lines:
            note(self.workshop, self.workshop.open_job(number), [Line(line, "nh") for line in lines])
        return f"{self.address}jobs/{number}"

    def entries(self, job: str) -> list[str]:
        """Return the kinds of a job's entries, in order."""
        number = int(job.rsplit("/", 1)[1])
        return [entry.body.kind.split("/")[0] for entry in self.workshop.open_job(number).job.entries]


def now() -> datetime:
    """The machine's clock."""
    return datetime.now(tz=UTC)


@pytest.fixture(scope="session")
def shop(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Shop]:
    """Serve a small workshop with the command people use."""
    folder = tmp_path_factory.mktemp("tern-quay") / "shop"
    workshop = found(folder, now)
    people = {f"person.{key}": name for key, name in PEOPLE.items()}
    set_values(workshop, {**people, "name": "Tern Quay Bench", "tax_permille": 200}, by="nh")
    command = [str(Path(sys.executable).with_name("brasswright")), "serve", "--workshop", str(folder), "--port", "0"]
    with subprocess.Popen(command, stdout=subprocess.PIPE, stderr=subprocess.STDOUT, text=True) as server:
        assert server.stdout is not None
        first = server.stdout.readline()
        address = re.search(r"http://\S+/", first)
        assert address is not None, first + server.stdout.read()
        yield Shop(address[0], workshop)
        server.terminate()
        server.wait(timeout=5)
    workshop.store.close()


@pytest.fixture(scope="session")
def chromium() -> Iterator[Browser]:
    """Debian's Chromium, driven by Playwright."""
    if CHROMIUM is None:
        pytest.skip("Chromium is not installed here")
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=CHROMIUM)
        yield browser
        browser.close()


@dataclass
class Watched:
    """One browser window as a person has it, and everything it must not do."""

    page: Page
    context: BrowserContext
    shop: Shop
    troubles: list[str] = field(default_factory=list)
    loads: int = 0

    def go(self, address: str) -> Page:
        """Open an address."""
        self.page.goto(address if address.startswith("http") else f"{self.shop.address}{address.lstrip('/')}")
        return self.page

    def axe(self) -> list[str]:
        """Run axe-core inside the page and return what it finds; what its own measuring offends is not ours."""
        before = list(self.troubles)
        # What happens to lie half under the line at the foot of the window is reached by scrolling.
        self.page.evaluate("document.querySelector('.next-check')?.style.setProperty('position', 'static')")
        self.page.evaluate(AXE.read_text(encoding="utf-8"))
        found = self.page.evaluate("rules => axe.run(document, {runOnly: rules})", AXE_RULES)
        self.page.wait_for_timeout(50)
        self.troubles[:] = before
        return [
            f"{violation['id']}: {violation['help']}: {[node['target'] for node in violation['nodes']][:4]}"
            for violation in found["violations"]
        ]


@pytest.fixture
def window(shop: Shop, chromium: Browser, request: pytest.FixtureRequest) -> Iterator[Callable[..., Watched]]:
    """Open windows; at the end nothing may have gone wrong in any of them."""
    opened: list[Watched] = []

    def open_one(size: str = "portrait", *, scripts: bool = True, scheme: str = "light", person: str = "nh") -> Watched:
        width, height = VIEWPORTS[size]
        context = chromium.new_context(
            viewport={"width": width, "height": height},
            has_touch=size != "desk",
            java_script_enabled=scripts,
            color_scheme="dark" if scheme == "dark" else "light",
        )
        context.set_default_timeout(10_000)
        if person:
            context.add_cookies([{"name": "person", "value": person, "url": shop.address}])
        watched = Watched(context.new_page(), context, shop)
        _watch(watched)
        opened.append(watched)
        return watched

    yield open_one
    failed = getattr(request.node, "failed", False)
    troubles = [trouble for one in opened for trouble in one.troubles]
    for number, one in enumerate(opened):
        if failed or troubles:
            folder = Path(str(request.config.rootpath)) / ".pytest_cache" / "browser"
            folder.mkdir(parents=True, exist_ok=True)
            one.page.screenshot(path=folder / f"{re.sub(r'[^a-z0-9_]+', '-', request.node.name)}-{number}.png")
        one.context.close()
    assert troubles == []


def _watch(one: Watched) -> None:
    expected = re.compile(r"the server responded with a status of 4(09|22)")

    def console(kind: str, text: str) -> None:
        if kind in {"error", "warning"} and not expected.search(text):
            one.troubles.append(f"{kind}: {text}")

    one.page.on("console", lambda message: console(message.type, message.text))
    one.page.on("pageerror", lambda error: one.troubles.append(f"page error: {error}"))

    def asked(url: str) -> None:
        if not url.startswith((one.shop.address, "data:", "blob:")):
            one.troubles.append(f"asked off the host: {url}")

    one.page.on("request", lambda sent: asked(sent.url))

    def loaded() -> None:
        one.loads += 1

    one.page.on("load", lambda _: loaded())


@pytest.hookimpl(wrapper=True)
def pytest_runtest_makereport(item: pytest.Item) -> Generator[None, pytest.TestReport, pytest.TestReport]:
    """Let fixtures know whether their test failed, for the screenshot."""
    report = yield
    if report.when == "call" and report.failed:
        item.failed = True  # type: ignore[attr-defined]
    return report
