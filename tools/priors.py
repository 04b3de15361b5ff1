"""The page of implied priors of each packaged sheet: how often each condition is met with nothing known.

`python -m tools.priors` writes `docs/reference/priors/`; `--check` only compares and ends with 1 where one is not
current.
"""

from __future__ import annotations

import sys
from pathlib import Path

from brasswright.judgement.opinion import priors
from brasswright.sheets.load import load_packaged, packaged
from brasswright.sheets.spoken import spoken

__all__ = ["FOLDER", "main", "page"]

FOLDER = Path(__file__).resolve().parent.parent / "docs" / "reference" / "priors"
CLASSES = (
    (0.8, "nearly always"),
    (0.5, "more often than not"),
    (0.2, "often"),
    (0.05, "now and then"),
    (0.0, "rarely"),
)


def page(key: str) -> str:
    """Return one sheet's page: zone by zone, each component with its conditions of 100 machines nobody knows."""
    sheet = load_packaged(key).sheet
    odds = priors(sheet)
    lines = [
        f"# Implied priors: {sheet.sheet.name}",
        "",
        f"Written by `make docs` from the sheet `{key}`, version {sheet.sheet.version}.",
        "",
        "Of 100 machines of which nothing is known but the kind, so many are in each condition, best first. They",
        "follow from the histories' usual shares and from every `alone` and cause of the sheet; most are judgement:",
        f"each number's source is named by `brasswright sheet show {key}`. The last column says how often anything is",
        "wrong: nearly always is 80 or more, more often than not 50, often 20, now and then 5, rarely less.",
    ]
    for zone in sorted(sheet.zone, key=lambda name: sheet.zone[name].order):
        inside = [name for name, part in sheet.component.items() if part.zone == zone and name in odds]
        if not inside:
            continue
        lines += ["", f"## {sheet.zone[zone].name}", "", "| component | of 100 | anything wrong |", "|---|---|---|"]
        lines += [_row(sheet.component[name].name, sheet.component[name].states, odds[name]) for name in inside]
    return "\n".join(lines) + "\n"


def _row(name: str, states: tuple[str, ...], row: tuple[float, ...]) -> str:
    shares = ", ".join(f"{spoken(state)} {_share(chance)}" for state, chance in zip(states, row, strict=True))
    often = next(word for least, word in CLASSES if 1.0 - row[0] >= least)
    return f"| {name} | {shares} | {often} |"


def _share(chance: float) -> str:
    return f"{100 * chance:.0f}" if chance >= 0.01 else "under 1"


def main(arguments: list[str]) -> int:
    """Write or compare the pages; return 1 where one is not current or is there without its sheet."""
    wrong = 0
    FOLDER.mkdir(exist_ok=True)
    for key in packaged():
        path, text = FOLDER / f"{key}.md", page(key)
        if "--check" not in arguments:
            path.write_text(text, encoding="utf-8")
        elif not path.is_file() or path.read_text(encoding="utf-8") != text:
            print(f"docs/reference/priors/{key}.md is not current: run `make docs`.")
            wrong = 1
    for path in FOLDER.glob("*.md"):
        if path.stem not in packaged():
            print(f"docs/reference/priors/{path.name} has no sheet: take it out.")
            wrong = 1
    return wrong


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
