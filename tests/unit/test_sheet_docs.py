"""The reference names every table, field and act, and its whole example is a sheet that passes."""

from __future__ import annotations

import re
from pathlib import Path
from typing import get_args

import pytest

from brasswright.sheets import model
from brasswright.sheets.load import load_sheet
from brasswright.sheets.schema import KINDS

ROOT = Path(__file__).parent.parent.parent
PAGE = (ROOT / "docs" / "reference" / "sheet.md").read_text(encoding="utf-8")
SECTIONS = {
    match[1]: match[0] for match in re.finditer(r"^## `\[([a-z]+).*?(?=^## )", PAGE, flags=re.DOTALL | re.MULTILINE)
}


@pytest.mark.parametrize("kind", KINDS)
def test_every_field_of_every_table_is_described(kind: str) -> None:
    for name, field in KINDS[kind].model_fields.items():
        assert f"`{field.alias or name}`" in SECTIONS[kind], name


@pytest.mark.parametrize("record", [model.Head, model.Cause, model.Level, model.Step, model.Part, model.Fix])
def test_every_field_of_every_list_is_described(record: type[model.Record]) -> None:
    for name, field in record.model_fields.items():
        assert re.search(rf"\b{field.alias or name}\b", PAGE), name


def test_every_act_is_described() -> None:
    for act in get_args(model.Act):
        assert f"| `{act}` |" in PAGE


def test_the_whole_example_is_the_one_that_is_checked() -> None:
    example = re.search(r"```toml\n(\[sheet\].*?)```", PAGE, flags=re.DOTALL)
    assert example is not None
    assert load_sheet(example[1]) == load_sheet(ROOT / "tests" / "golden" / "sheets" / "small.toml")
