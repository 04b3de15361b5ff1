"""Make the static fonts of the papers from the variable fonts of the pages.

The typesetter reads no woff2 and no variable axes, and it looks up each glyph in one file. So for each weight the
Latin and the extended Latin subset are pinned to that weight, merged and written as one TTF. The Open Font Licence of
both families reserves no font name, so the families keep theirs. Same inputs and same fontTools, same bytes.

    .venv/bin/python tools/paper_fonts.py      write src/brasswright/papers/fonts/*.ttf and print their pins
"""

from __future__ import annotations

import hashlib
import sys
import tempfile
from dataclasses import dataclass
from pathlib import Path

from fontTools.merge import Merger, Options
from fontTools.ttLib import TTFont
from fontTools.varLib import instancer

__all__ = ["CUTS", "Cut", "main", "make"]

ROOT = Path(__file__).resolve().parent.parent
PAGES = ROOT / "src/brasswright/web/static/fonts"
PAPERS = ROOT / "src/brasswright/papers/fonts"
UNIX_EPOCH_IN_FONT_TIME = 2_082_844_800


@dataclass(frozen=True, slots=True)
class Cut:
    """One static font: family, style name, weight class, and the stem and slope of the files it comes from."""

    family: str
    style: str
    weight: int
    stem: str
    slope: str = "normal"

    @property
    def file(self) -> str:
        """Name of the TTF written."""
        return f"{self.stem}-{self.weight}-{self.slope}.ttf"


_ATKINSON = "Atkinson Hyperlegible Next"
_ATKINSON_STEM = "atkinson-hyperlegible-next"
CUTS = (
    Cut(_ATKINSON, "Regular", 400, _ATKINSON_STEM),
    Cut(_ATKINSON, "Italic", 400, _ATKINSON_STEM, "italic"),
    Cut(_ATKINSON, "Medium", 500, _ATKINSON_STEM),
    Cut(_ATKINSON, "SemiBold", 650, _ATKINSON_STEM),
    Cut("Besley", "SemiBold", 600, "besley"),
)


def make(cut: Cut, folder: Path) -> TTFont:
    """Pin both subsets of a cut to its weight, merge them and name the result."""
    pinned = []
    for subset in ("latin", "latin-ext"):
        font = TTFont(PAGES / f"{cut.stem}-{subset}-wght-{cut.slope}.woff2", recalcTimestamp=False)
        static = instancer.instantiateVariableFont(font, {"wght": cut.weight})
        static.flavor = None
        pinned.append(str(folder / f"{subset}.ttf"))
        static.save(pinned[-1])
    merged = Merger(Options(drop_tables=["STAT", "prep", "gasp"])).merge(pinned)
    merged.recalcTimestamp = False
    merged["head"].created = merged["head"].modified = UNIX_EPOCH_IN_FONT_TIME
    merged["OS/2"].usWeightClass = cut.weight
    _name(merged, cut)
    return merged


def _name(font: TTFont, cut: Cut) -> None:
    plain = cut.style in ("Regular", "Italic")
    full = f"{cut.family} {cut.style}"
    names = {
        1: cut.family if plain else full,
        2: cut.style if plain else "Regular",
        3: f"{full} {cut.weight}, static",
        4: full,
        6: full.replace(" ", "") if plain else f"{cut.family.replace(' ', '')}-{cut.style}",
        16: None if plain else cut.family,
        17: None if plain else cut.style,
    }
    for key, text in names.items():
        font["name"].removeNames(nameID=key)
        if text is not None:
            font["name"].setName(text, key, 3, 1, 0x409)


def main() -> int:
    """Write every cut and print the lines that belong into tools/vendored.toml."""
    PAPERS.mkdir(parents=True, exist_ok=True)
    for cut in CUTS:
        with tempfile.TemporaryDirectory() as folder:
            make(cut, Path(folder)).save(PAPERS / cut.file)
        digest = hashlib.sha256((PAPERS / cut.file).read_bytes()).hexdigest()
        print(f'[[made]]\npath = "src/brasswright/papers/fonts/{cut.file}"\nsha256 = "{digest}"\n')
    return 0


if __name__ == "__main__":
    sys.exit(main())
