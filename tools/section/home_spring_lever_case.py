"""Geometry of the home spring-lever machine: control gear, case, base and flex."""

from __future__ import annotations

from tools.section.model import Part
from tools.section.paths import rect, tube

__all__ = ["CASE_AND_BASE", "CONTROL"]

_WIRES = (
    [(652, 610), (652, 806), (606, 806), (606, 848)],
    [(630, 704), (642, 704), (642, 790), (594, 790), (594, 848)],
    [(522, 788), (522, 834), (570, 834), (570, 848)],
    [(548, 788), (548, 816), (582, 816), (582, 848)],
    [(424, 812), (446, 812), (446, 852), (558, 852)],
    [(422, 779), (434, 779), (434, 861), (558, 861)],
    [(610, 866), (610, 884), (512, 884)],
)

CONTROL: tuple[Part, ...] = (
    Part(
        "wiring",
        "Wiring",
        "control",
        "plain",
        "".join(tube(list(points), 3.6, 5) for points in _WIRES),
        ((652, 760), (652, 700)),
    ),
    Part(
        "pressurestat_tube",
        "Pressurestat tube",
        "control",
        "plain",
        tube([(609, 524), (644, 524), (644, 502), (662, 502), (662, 550)], 6, 7),
        ((653, 502), (662, 524)),
    ),
    Part(
        "pressurestat_body",
        "Pressurestat body",
        "control",
        "s45",
        "M654 546H670V550H682V570H642V550H654Z",
        ((678, 560), (676, 556)),
        line="M646 560H678",
    ),
    Part(
        "pressurestat_switch",
        "Pressurestat switch",
        "control",
        "s135",
        rect(646, 570, 678, 612),
        ((674, 592), (674, 604)),
        void=rect(652, 578, 672, 602),
        line="M655 598L669 586M662 570V590",
    ),
    Part(
        "thermal_cutout",
        "Thermal cut-out",
        "control",
        "s45",
        "M615 690H624V696H632V712H624V718H615Z",
        ((628, 708),),
    ),
    Part(
        "element_terminals",
        "Element terminals",
        "control",
        "plain",
        "M519 768H525V774H529V781H525V792H519V781H515V774H519ZM545 768H551V774H555V781H551V792H545V781H541V774H545Z",
        ((551, 778), (522, 778)),
    ),
    Part(
        "terminal_block",
        "Terminal block",
        "control",
        "s135",
        rect(556, 846, 620, 868),
        ((614, 862), (560, 864)),
        line="M572 846V868M588 846V868M604 846V868",
    ),
    Part(
        "earth_bond",
        "Earth bond",
        "control",
        "plain",
        "M498 904V893H492V888H502V876H508V888H518V893H512V904Z",
        ((496, 898), (505, 882)),
    ),
)

CASE_AND_BASE: tuple[Part, ...] = (
    Part(
        "plating",
        "Plating",
        "outside",
        "plain",
        rect(405.6, 424, 408, 505)
        + rect(405.6, 519, 408, 593)
        + rect(405.6, 700, 408, 766)
        + rect(405.6, 834, 408, 902)
        + rect(692, 424, 694.4, 836),
        ((406.8, 740), (406.8, 470), (693, 760)),
    ),
    Part(
        "case",
        "Case",
        "outside",
        "fine",
        "M410 506V424H434V429H415V506Z"
        + rect(410, 519, 415, 593)
        + rect(410, 607, 415, 614)
        + rect(410, 698, 415, 768)
        + rect(410, 832, 415, 904)
        + rect(446, 424, 492, 429)
        + rect(578, 424, 598, 429)
        + "M610 424H690V838H685V429H610Z"
        + rect(685, 864, 690, 904),
        ((687.5, 640), (687.5, 720), (660, 426)),
    ),
    Part(
        "pilot_lamp",
        "Pilot lamp",
        "outside",
        "plain",
        "M400 776Q400 770 407 770H424V788H407Q400 788 400 782Z",
        ((404, 779),),
    ),
    Part(
        "main_switch",
        "Main switch",
        "outside",
        "s135",
        "M408 796H428V830H408V824L398 818L402 802L408 800Z",
        ((404, 813), (412, 826)),
    ),
    Part(
        "flex",
        "Flex",
        "outside",
        "fine",
        tube([(622, 857), (664, 851), (706, 851), (719, 851), (719, 890)], 9, 12),
        ((718, 872),),
    ),
    Part(
        "flex_bushing",
        "Flex bushing",
        "outside",
        "fine",
        "M680 838H702V845L706 847V855L702 857V864H680Z",
        ((694, 842), (694, 860)),
    ),
    Part(
        "plug",
        "Plug",
        "outside",
        "plain",
        "M714 884H724L730 892V918H727V936H722V918H716V936H711V918H708V892Z",
        ((726, 904),),
        line="M708 912H730",
    ),
    Part(
        "base",
        "Base",
        "outside",
        "s135",
        "M200 914Q200 904 210 904H690Q700 904 700 914V940H684V918H216V940H200Z",
        ((204, 926), (640, 911), (692, 926)),
    ),
    Part(
        "feet",
        "Feet",
        "outside",
        "fine",
        "M198 940H220L216 962H202Z" + "M680 940H702L698 962H684Z",
        ((207, 952), (691, 952)),
    ),
)
