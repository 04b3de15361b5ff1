"""The page about the journal names every kind, and every subject as the code has it."""

from __future__ import annotations

import re
from pathlib import Path

from brasswright.journal.codec import KINDS
from brasswright.journal.subjects import NAMED, WHOLE

PAGE = Path(__file__).resolve().parents[2] / "docs" / "reference" / "journal.md"


def rows() -> dict[str, str]:
    """Kind and subject of each row of the table of kinds."""
    return dict(re.findall(r"^\| `([a-z]+/\d+)` \| ([^|]+) \|", PAGE.read_text(encoding="utf-8"), re.MULTILINE))


def test_the_page_has_a_row_for_each_kind_and_no_other() -> None:
    assert set(rows()) == set(KINDS)


def test_the_page_names_the_subject_of_each_kind() -> None:
    told = rows()
    for kind, model in KINDS.items():
        if model in NAMED:
            assert NAMED[model][0] in told[kind]
        elif model in WHOLE:
            assert told[kind] == (next(iter(WHOLE[model])) if WHOLE[model] else "none")
