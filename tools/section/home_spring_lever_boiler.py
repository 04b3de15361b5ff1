"""Geometry of the home spring-lever machine: boiler and what sits on it. Axis of the boiler x = 535."""

from __future__ import annotations

from tools.section.model import Part
from tools.section.paths import both, circle, mirror, rect, tube

__all__ = ["BOILER", "GAUGES", "STEAM"]

AXIS = 535

_SHELL_FRONT_ABOVE = "M446 620H455V520C455 496 480 487 512 484V446H519V491C484 493 461 502 461 522V648H446Z"
_SHELL_FRONT_BELOW = "M446 662H461V734H436V722H455V690H446Z"
_SHELL_REAR = mirror("M461 734H436V722H455V520C455 496 480 487 512 484V446H519V491C484 493 461 502 461 522Z", AXIS)

BOILER: tuple[Part, ...] = (
    Part(
        "lagging",
        "Lagging",
        "boiler",
        "lag",
        rect(440, 524, 454, 592) + rect(440, 694, 454, 718) + rect(616, 534, 634, 684),
        ((626, 640), (626, 580)),
    ),
    Part(
        "boiler_shell",
        "Boiler shell",
        "boiler",
        "s45",
        _SHELL_FRONT_ABOVE + _SHELL_FRONT_BELOW + _SHELL_REAR,
        ((612, 600), (612, 560), (458, 560)),
    ),
    Part("flange_gasket", "Flange gasket", "boiler", "fine", both(AXIS, rect(436, 734, 461, 740)), ((625, 737),)),
    Part(
        "boiler_end",
        "Boiler end",
        "boiler",
        "s135",
        rect(436, 740, 471, 752) + rect(485, 740, 508, 752) + rect(562, 740, 634, 752),
        ((592, 746), (600, 746)),
    ),
    Part(
        "boiler_bolts",
        "Boiler bolts",
        "boiler",
        "plain",
        both(AXIS, "M440 714H445V711H451V714H456V722H451V752H456V760H451V764H445V760H440V752H445V722H440Z"),
        ((622, 757),),
    ),
    Part("drain_plug", "Drain plug", "boiler", "plain", "M471 738H485V752H490V763H466V752H471Z", ((478, 758),)),
    Part(
        "element",
        "Element",
        "boiler",
        "s45",
        tube(
            [
                (522, 756),
                (522, 722),
                (486, 722),
                (486, 634),
                (511, 634),
                (511, 698),
                (559, 698),
                (559, 634),
                (584, 634),
                (584, 722),
                (548, 722),
                (548, 756),
            ],
            10,
            10,
        )
        + "M498 758H511V742H559V758H572V768H498Z",
        ((584, 676), (559, 660)),
    ),
    Part("element_gasket", "Element gasket", "boiler", "fine", both(AXIS, rect(498, 752, 511, 758)), ((566, 755),)),
    Part(
        "group_seal",
        "Group seal",
        "boiler",
        "fine",
        rect(441, 626, 446, 648) + rect(441, 662, 446, 684),
        ((443.5, 678), (443.5, 632)),
    ),
    Part(
        "safety_valve",
        "Safety valve",
        "boiler",
        "s135",
        "M478 496V474H474V448H480V440H492V448H498V474H494V490Z",
        ((486, 446), (494, 458)),
        void=rect(480, 453, 492, 473),
        line="M480 456L492 459L480 462L492 465L480 468L492 471M486 474V492",
    ),
    Part(
        "vacuum_breaker",
        "Vacuum breaker",
        "boiler",
        "s45",
        "M580 494V478H576V462Q586 450 596 462V478H592V497Z",
        ((586, 462),),
        void=circle(586, 468, 4.5),
        line="M586 474V494",
    ),
    Part("cap_seal", "Cap seal", "boiler", "fine", both(AXIS, rect(509, 438, 521, 446)), ((555, 442),)),
    Part(
        "boiler_cap",
        "Boiler cap",
        "boiler",
        "s135",
        "M508 438V432Q500 432 500 423V398Q500 386 512 386H558Q570 386 570 398V423Q570 432 562 432V438H549V472H521V438Z",
        ((552, 394), (518, 394)),
        line="M521 446H549M521 452H549M521 458H549M521 464H549",
    ),
)

STEAM: tuple[Part, ...] = (
    Part(
        "steam_wand",
        "Steam wand",
        "steam",
        "plain",
        tube([(626, 388), (626, 410), (703, 410), (713, 660)], 8, 12),
        ((707, 520), (705, 470)),
    ),
    Part("wand_tip", "Wand tip", "steam", "fine", "M708 657L718 656.6L719 672L715 684H713L709 672Z", ((714, 668),)),
    Part(
        "steam_tap",
        "Steam tap",
        "steam",
        "s45",
        "M592 357Q592 350 599 350H636V360H652V384H636V394H608V505L600 500V394H592Z",
        ((629, 355),),
        void="M604 366H636V378H604Z",
    ),
    Part(
        "tap_packing",
        "Tap packing",
        "steam",
        "fine",
        rect(638, 361, 649, 368) + rect(638, 376, 649, 383),
        ((644, 364),),
    ),
    Part(
        "steam_knob",
        "Steam knob",
        "steam",
        "plain",
        "M668 353Q668 346 675 346H684Q691 346 691 353V391Q691 398 684 398H675"
        "Q668 398 668 391V376H616L606 372L616 368H668Z",
        ((681, 358), (681, 384)),
        line="M674 346V398M680 346V398",
    ),
)

GAUGES: tuple[Part, ...] = (
    Part(
        "boiler_gauge",
        "Boiler gauge",
        "gauges",
        "plain",
        tube([(440, 388), (440, 466), (467, 466), (467, 500)], 6, 8) + circle(440, 366, 28),
        ((426, 356), (440, 348)),
        void=circle(440, 366, 22.5),
        line="M440 366L427 377M440 366L444 362.5M425 379L428.5 376M421 366H425.5M426 352L429.5 355.5M440 346V350.5"
        "M454 352L450.5 355.5M459 366H454.5M455 379L451.5 376",
    ),
    Part(
        "glass_glands",
        "Glass glands",
        "gauges",
        "s45",
        "M364 501H368V493H384V501H388V508H462V516H388V523H364ZM364 589H388V596H462V604H388V611H384V619H368V611H364Z",
        ((368, 506), (368, 606)),
    ),
    Part(
        "sight_glass",
        "Sight glass",
        "gauges",
        "plain",
        rect(370, 508, 382, 604),
        ((372, 560),),
        void=rect(373.5, 508, 378.5, 604),
    ),
    Part(
        "glass_seals",
        "Glass seals",
        "gauges",
        "fine",
        both(376, rect(365, 514, 370, 522)) + both(376, rect(365, 590, 370, 598)),
        ((367.5, 594), (367.5, 518)),
    ),
)
