"""Put the section drawing into the specimen page of the bench book's look, in an invented state.

    python -m tools.draw_specimen            write the page
    python -m tools.draw_specimen --check    fail if the page on disk differs

Reads docs/look/specimen.source.html and replaces `[[whole]]`, `[[plate ZONE]]` and `[[outline]]`.
"""

from __future__ import annotations

import re
import sys
import tomllib
from pathlib import Path

ROOT = Path(__file__).parent.parent
PACKAGED = ROOT / "src" / "brasswright" / "sheets" / "packaged"
STATIC = ROOT / "src" / "brasswright" / "web" / "static"
LOOK = ROOT / "docs" / "look"

STATES = {
    "ink r0": "lever yoke group_cap group_body bayonet_ring portafilter steam_knob drip_tray base sight_glass plug",
    "ink r1": "lever_handle case drip_grid main_switch boiler_cap steam_wand plating boiler_gauge",
    "ink r2": "screen glass_glands portafilter_handle flex_bushing wand_tip",
    "ink r3": "group_gasket flex feet",
    "ink r2 fixed": "basket",
    "pencil r1": "spring boiler_shell pivot_pins sleeve",
    "pencil r2": "element safety_valve steam_tap element_gasket glass_seals",
    "pencil r3": "cap_seal lagging",
    "pencil r2 now": "piston_seals",
    "absent": "pilot_lamp",
}
WORDS = {
    "ink r0": "sound",
    "ink r1": "worn",
    "ink r2": "poor",
    "ink r3": "failed",
    "ink r2 fixed": "pitted, set by NH",
    "pencil r1": "likely worn",
    "pencil r2": "likely poor",
    "pencil r3": "likely failed",
    "pencil r2 now": "likely hardened",
    "absent": "missing",
}


def in_state(drawing: str) -> str:
    """The drawing with its parts and labels in the invented state."""
    for state, keys in STATES.items():
        for key in keys.split():
            drawing = re.sub(rf'class="part unknown( m-\w+" id="p-{key}")', rf'class="part {state}\1', drawing)
            drawing = re.sub(
                rf'class="lab unknown"( data-for="{key}".*?)not known</text>',
                rf'class="lab {state}"\1{WORDS[state]}</text>',
                drawing,
            )
    return drawing.replace('class="seal" data-hold="3"', 'class="seal stands" data-hold="3"').replace(
        'class="seal" data-hold="4"', 'class="seal stands" data-hold="4"'
    )


def plate(drawing: str, zone: str, view_box: list[int], serial: int) -> str:
    """A second copy of the drawing on one page: own ids, no patterns, another window."""
    own = re.sub(r"\b([pd]-[a-z_]+|sec-[td])(?=[\" ])", rf"v{serial}-\1", drawing)
    own = re.sub(r"<defs>\n<pattern.*?</defs>\n", "", own, flags=re.DOTALL)
    window = " ".join(str(edge) for edge in view_box)
    return re.sub(r'viewBox="[^"]*"', f'viewBox="{window}" data-plate="{zone}"', own, count=1)


def specimen() -> str:
    """The whole page."""
    page = (LOOK / "specimen.source.html").read_text(encoding="utf-8")
    drawing = in_state((PACKAGED / "home-spring-lever.svg").read_text(encoding="utf-8"))
    zones = tomllib.loads((PACKAGED / "home-spring-lever.plates.toml").read_text(encoding="utf-8"))["plate"]
    outline = (STATIC / "outline-home-spring-lever.svg").read_text(encoding="utf-8")
    page = page.replace("[[whole]]", drawing).replace("[[outline]]", outline)
    for serial, zone in enumerate(re.findall(r"\[\[plate (\w+)\]\]", page), start=1):
        one = plate(drawing, zone, zones[zone]["view_box"], serial)
        page = page.replace(f"[[plate {zone}]]", one, 1)
    return page


def main(arguments: list[str]) -> int:
    """Write or compare docs/look/specimen.html; 1 when it differs."""
    path, page = LOOK / "specimen.html", specimen()
    if "--check" in arguments:
        return 0 if path.is_file() and path.read_text(encoding="utf-8") == page else 1
    path.write_text(page, encoding="utf-8")
    print(f"{path}: {len(page)} characters")
    return 0


if __name__ == "__main__":
    raise SystemExit(main(sys.argv[1:]))
