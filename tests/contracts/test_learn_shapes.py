"""`learn --json` and `calibration --json` are what their page of the reference says."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

from tests.contracts.test_json_shapes import REFERENCE, agrees, documented, names_agree
from tests.unit.commands_bench import run
from tests.unit.test_learning_workshop import KEY, busy

if TYPE_CHECKING:
    from pathlib import Path

PAGE = "learn-json.md"


def test_learn_and_calibration(tmp_path: Path) -> None:
    folder = tmp_path / "quay"
    busy(folder, 12).store.close()
    learned = run("learn", "-w", folder, "--sheet", KEY, "--json").json
    fields = documented(PAGE, "`learn --json`")
    agrees(learned, fields)
    names_agree(learned["rows"], fields["rows"])
    for name in ("left_out", "not_fitting"):
        assert all(set(each) <= fields[name].named for each in learned[name])
    text = (REFERENCE / PAGE).read_text(encoding="utf-8")
    gains = re.search(r"^`whole` and each of `groups`:(.+?)With `--take-back`", text, flags=re.MULTILINE | re.DOTALL)
    assert gains is not None
    for gain in (learned["whole"], *learned["groups"]):
        assert set(gain) == set(re.findall(r"`(\w+)`", gains[1]))
    counted = run("calibration", "-w", folder, "--json").json
    agrees(counted, documented(PAGE, "`calibration --json`"))
    names_agree(counted["bins"], documented(PAGE, "`calibration --json`")["bins"])
    assert len(counted["bins"]) == 10
    assert sum(one["called"] for one in counted["bins"]) == counted["parts"]
