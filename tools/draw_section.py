"""Write the section drawings that the sheets show, from their geometry in tools/section/.

python -m tools.draw_section            write the drawings
python -m tools.draw_section --check    fail if a drawing on disk differs from its geometry
"""

from __future__ import annotations

import sys
from pathlib import Path

from tools.section.home_spring_lever import HOME_SPRING_LEVER
from tools.section.svg import write

PACKAGED = Path(__file__).parent.parent / "src" / "brasswright" / "sheets" / "packaged"

DRAWINGS = {"home-spring-lever.svg": HOME_SPRING_LEVER}


def main(arguments: list[str]) -> int:
    """Write or compare every drawing; 1 when one differs."""
    different = []
    for name, drawing in DRAWINGS.items():
        path, text = PACKAGED / name, write(drawing)
        if "--check" in arguments:
            if not path.is_file() or path.read_text(encoding="utf-8") != text:
                different.append(name)
        else:
            path.parent.mkdir(parents=True, exist_ok=True)
            path.write_text(text, encoding="utf-8")
            print(f"{path}: {len(drawing.parts)} parts, {len(text)} characters")
    for name in different:
        print(f"{name} differs from its geometry: run python -m tools.draw_section", file=sys.stderr)
    return 1 if different else 0


if __name__ == "__main__":
    raise SystemExit(main(sys.argv[1:]))
