"""Words that do not belong into this repository, and the one claim that it never makes.

The patterns are spelt so that this file does not match itself.
"""

from __future__ import annotations

import re
import subprocess

import pytest

from tests.contracts.repository import ROOT, own_text

FOREIGN_TO_US = {
    "package registry": r"\b(?:p[y]pi\.(?:org|io)|p[y]thonhosted\.|n[p]mjs\.(?:org|com)|deb\.d[e]bian\.org)",
    "folder of the machine it was written on": r"(?<![\w.])/(?:w[o]rk|f[a]rm|h[o]me/[a-z]|r[o]ot)/|\.l[i]brary\b",
    "notes that are not part of it": r"\.\./sh[a]red|\b(?:ch[e]ck-values|tr[a]de|b[e]lief|pl[a]nning|p[a]pers)\.md\b",
    "how it was written": r"\btr[a]nscript\b|\bs[e]ed document|\b(?:l[a]nguage model|ch[a]tbot|c[o]ding assistant)\b",
    "number of a note to ourselves": r"\b[Ii]s[s]ue (?:#|\d)",
}
CLAIM = re.compile(
    r"\b(?:is|are|now|made|found|proved?n?)\s+(?:electrically\s+|quite\s+|perfectly\s+)?s[a]fe\b"
    r"|\bs[a]fe (?:to|for) (?:use|touch|operate|drink|switch|run|plug)",
    re.IGNORECASE,
)


def places(pattern: re.Pattern[str], texts: list[tuple[str, str]]) -> list[str]:
    """Where a pattern matches."""
    return [
        f"{name}:{number}: {line.strip()[:90]}"
        for name, text in texts
        for number, line in enumerate(text.splitlines(), 1)
        if pattern.search(line)
    ]


@pytest.mark.parametrize("what", FOREIGN_TO_US)
def test_foreign_words_stay_out(what: str) -> None:
    texts = [(str(file), text) for file, text in own_text()]
    assert places(re.compile(FOREIGN_TO_US[what]), texts) == []


@pytest.mark.parametrize("what", FOREIGN_TO_US)
def test_foreign_words_stay_out_of_the_history(what: str) -> None:
    log = subprocess.run(["git", "log", "--format=%B"], cwd=ROOT, check=True, capture_output=True, text=True)
    assert places(re.compile(FOREIGN_TO_US[what]), [("commit message", log.stdout)]) == []


def test_no_machine_is_called_what_no_test_can_show() -> None:
    said = [(str(file), text) for file, text in own_text() if file.parts[0] == "src"]
    assert places(CLAIM, said) == []


@pytest.mark.parametrize("claim", ["The machine is s" + "afe.", "It is now s" + "afe to use", "s" + "afe to touch"])
def test_the_claim_is_seen(claim: str) -> None:
    assert CLAIM.search(claim)


@pytest.mark.parametrize("fair", ["the safety valve is tight", "fail-safe defaults are kept", "a safer order"])
def test_other_words_are_left_alone(fair: str) -> None:
    assert not CLAIM.search(fair)
