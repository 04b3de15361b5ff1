"""Draw the six pictures that stand in for photographs in the demo workshop.

python -m tools.draw_pictures            write demo/tern-quay/pictures/*.jpg
"""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from tools.pictures import flex, gasket, in_the_boot, lagging, plate, seam
from tools.pictures.pen import Pen

if TYPE_CHECKING:
    from collections.abc import Callable

PICTURES = Path(__file__).parent.parent / "demo" / "tern-quay" / "pictures"

SCENES: tuple[tuple[str, Callable[[Pen], str]], ...] = (
    ("01-in-the-boot", in_the_boot.draw),
    ("02-data-plate", plate.draw),
    ("03-flex-at-bushing", flex.draw),
    ("04-gasket-and-screen", gasket.draw),
    ("05-boiler-seam", seam.draw),
    ("06-lagging", lagging.draw),
)


def draw_all(folder: Path) -> list[Path]:
    """Draw every scene into a folder."""
    folder.mkdir(parents=True, exist_ok=True)
    written = []
    for seed, (name, scene) in enumerate(SCENES, start=1962):
        pen, path = Pen(seed), folder / f"{name}.jpg"
        pen.finish(scene(pen), path)
        written.append(path)
    return written


def main() -> int:
    """Write the pictures and name them."""
    for path in draw_all(PICTURES):
        print(f"{path}: {path.stat().st_size} bytes")
    return 0


if __name__ == "__main__":
    raise SystemExit(main())
