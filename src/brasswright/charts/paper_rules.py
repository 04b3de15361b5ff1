"""How a section drawing's classes look on paper: the style sheet that goes into the file."""

from __future__ import annotations

from brasswright.charts.style import SCHEMES

__all__ = ["paper_rules"]

_RULES = """
.h{{stroke:{ink};stroke-width:.75;fill:none}} .n{{stroke-width:.6}} .b{{stroke-width:.9}}
.v{{stroke:{ground};stroke-width:1.2;fill:none}} .q{{stroke:{pencil};stroke-width:.8;fill:none}}
.thin{{fill:none;stroke:{ink2};stroke-width:.8}} .faint{{fill:none;stroke:{pencil};stroke-width:.8}}
.lvl{{fill:none;stroke:{ink2};stroke-width:1.1}}
.centre path{{fill:none;stroke:{ink2};stroke-width:.8;stroke-dasharray:14 3 2 3}}
.body{{fill:{ground};stroke:{ink};stroke-width:1.5;stroke-linejoin:round}}
.tex{{fill:none;stroke:none}} .halo{{display:none}} .gap{{display:none}}
.line{{fill:none;stroke:{ink};stroke-width:.8}} .void{{fill:{ground};stroke:{ink};stroke-width:.8}}
.unknown .body{{stroke:{pencil};stroke-width:1.4;stroke-dasharray:.1 3.4;stroke-linecap:round}}
.unknown .line{{stroke:{pencil};stroke-dasharray:.1 3;stroke-linecap:round}}
.unknown .void{{stroke:{pencil};stroke-dasharray:.1 3;stroke-linecap:round}}
.pencil .body{{stroke:{pencil};stroke-width:1.4;stroke-dasharray:6 2.6}}
.pencil .line{{stroke:{pencil}}} .pencil .void{{stroke:{pencil}}}
.pencil.r1 .tex{{fill:url(#q1)}} .pencil.r2 .tex{{fill:url(#q2)}} .pencil.r3 .tex{{fill:url(#q3)}}
.ink.r0 .body{{fill:{w0}}} .ink.r1 .body{{fill:{w1}}} .ink.r2 .body{{fill:{w2}}} .ink.r3 .body{{fill:{w3}}}
.ink.m-s45 .tex{{fill:url(#s45)}} .ink.m-s135 .tex{{fill:url(#s135)}}
.ink.m-fine .tex{{fill:url(#fine)}} .ink.m-lag .tex{{fill:url(#lag)}}
.ink.r2.part .tex{{fill:url(#x2)}} .ink.r3.part .tex{{fill:url(#x3)}}
.absent .body{{fill:none;stroke:{ink2};stroke-width:1.1;stroke-dasharray:10 2.5 2 2.5 2 2.5}}
.absent .line{{display:none}} .absent .void{{display:none}}
.fixed .halo{{display:inline;fill:none;stroke:{ink};stroke-width:8;stroke-linejoin:round}}
.fixed .gap{{display:inline;fill:none;stroke:{ground};stroke-width:5.4;stroke-linejoin:round}}
"""


def paper_rules() -> str:
    """Return the style sheet: solid where seen, dashed where only the odds speak, dotted where nothing is known."""
    tokens = SCHEMES["paper"]
    washes = {f"w{place}": colour for place, colour in enumerate(tokens.washes)}
    return _RULES.format(ink=tokens.ink, ink2=tokens.ink2, ground=tokens.ground, pencil=tokens.pencil, **washes)
