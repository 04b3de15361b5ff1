"""Geometry of the home spring-lever machine: lever and group. Drawing units; axis of the group x = 287."""

from __future__ import annotations

from tools.section.model import Part
from tools.section.paths import both, circle, coil, rect, turned, whole

__all__ = ["LEVER_AND_GROUP"]

AXIS = 287

_BODY_LEFT = "M238 400H250V712H242V724H226V700H238Z"
_BODY_NECK_ABOVE = "M324 400H336V638H429V624H441V648H324Z"
_BODY_NECK_BELOW = "M324 662H441V686H429V672H336V700H348V724H332V712H324Z"

LEVER_AND_GROUP: tuple[Part, ...] = (
    Part(
        "group_body",
        "Group body",
        "group",
        "s45",
        _BODY_LEFT + _BODY_NECK_ABOVE + _BODY_NECK_BELOW,
        ((244, 500), (244, 600), (330, 520)),
        line="M425 631H460M425 679H460M425 628V634M425 676V682",
    ),
    Part(
        "sleeve",
        "Sleeve",
        "group",
        "fine",
        rect(250, 408, 256, 696) + rect(318, 408, 324, 648) + rect(318, 662, 324, 696),
        ((253, 560), (253, 480), (321, 560)),
    ),
    Part(
        "bayonet_ring",
        "Bayonet ring",
        "group",
        "s135",
        both(AXIS, "M212 700H226V752H239V764H212Z"),
        ((218, 740), (218, 720)),
    ),
    Part("spring", "Spring", "group", "s45", coil(266, 308, [417 + 18.6 * i for i in range(9)], 6, 11), ((266, 473),)),
    Part(
        "spring_seats",
        "Spring seats",
        "group",
        "s135",
        both(AXIS, rect(258, 402, 279, 410)) + both(AXIS, rect(258, 578, 279, 586)),
        ((262, 582), (262, 406)),
    ),
    Part(
        "piston",
        "Piston",
        "group",
        "s135",
        whole(
            AXIS,
            [
                (287, 586),
                (257, 586),
                (257, 602),
                (265, 602),
                (265, 614),
                (257, 614),
                (257, 668),
                (265, 668),
                (265, 680),
                (257, 680),
                (257, 691),
                (287, 691),
            ],
        ),
        ((272, 640), (302, 640)),
    ),
    Part(
        "piston_seals",
        "Piston seals",
        "group",
        "fine",
        both(AXIS, "M256 602H265V614H256L259 608Z") + both(AXIS, "M256 668H265V680H256L259 674Z"),
        ((261, 608), (261, 674)),
    ),
    Part(
        "piston_rod",
        "Piston rod",
        "group",
        "plain",
        "M281 640V353Q275 348 275 340Q275 328 287 328Q299 328 299 340Q299 348 293 353V640Z",
        ((287, 520), (287, 440)),
        line="M281 600H293M281 606H293M281 612H293M281 618H293M281 624H293M281 630H293",
    ),
    Part(
        "rod_seal",
        "Rod seal",
        "group",
        "fine",
        both(AXIS, rect(274, 368, 281, 384)),
        ((277, 376), (297, 376)),
    ),
    Part(
        "group_cap",
        "Group cap",
        "group",
        "s135",
        both(AXIS, "M230 400V380H266V364H274V386H281V400Z"),
        ((236, 390), (338, 390)),
    ),
    Part(
        "yoke",
        "Yoke",
        "group",
        "s45",
        "M240 380L247 330Q249 317 262 317Q276 318 276 331L274 354L264 364V380Z",
        ((252, 352),),
    ),
    Part(
        "lever",
        "Lever",
        "group",
        "plain",
        "M298 141L309 143L287 322Q300 328 299 341Q297 353 286 352L258 342Q249 338 250 330Q252 320 262 319Z",
        ((291, 216), (297, 190)),
    ),
    Part(
        "lever_handle",
        "Lever handle",
        "group",
        "plain",
        turned(
            (303, 143),
            (318, 30),
            [(0, 6), (8, 7), (11, 8.5), (15, 7.5), (34, 8.5), (62, 11.5), (84, 13), (100, 12), (111, 7.5), (114, 1)],
        ),
        ((312, 74), (315, 52)),
        line="M295 133L311 135",
    ),
    Part("pivot_pins", "Pivot pins", "group", "plain", circle(262, 330, 5) + circle(287, 340, 5), ((262, 330),)),
    Part(
        "screen",
        "Screen",
        "group",
        "fine",
        "M251 699H255V704H319V699H323V709H251Z",
        ((258, 706), (316, 706)),
        line="M264 704V709M272 704V709M280 704V709M288 704V709M296 704V709M304 704V709M312 704V709",
    ),
    Part("group_gasket", "Group gasket", "group", "fine", both(AXIS, rect(242, 712, 259, 724)), ((250, 718),)),
    Part(
        "portafilter",
        "Portafilter",
        "group",
        "s45",
        both(AXIS, "M246 730H254V800H280V844H272L267 812H258Q246 812 246 798V752H229V739H246Z"),
        ((250, 806), (275, 830)),
        line="M280 800H294M280 818H294",
    ),
    Part(
        "basket",
        "Basket",
        "group",
        "fine",
        whole(AXIS, [(287, 784), (260, 784), (260, 724), (244, 724), (244, 729), (256, 729), (256, 789), (287, 789)]),
        ((258, 768), (258, 745)),
    ),
    Part(
        "portafilter_handle",
        "Portafilter handle",
        "group",
        "plain",
        "M245 772L240 769H230V772L192 774L198 781L190 788L196 797L230 799V802H240L245 798Z",
        ((214, 786), (224, 784)),
        line="M230 772V799M240 769V802",
    ),
    Part(
        "drip_grid",
        "Drip grid",
        "outside",
        "fine",
        "".join(rect(206 + 20.4 * i, 864, 206 + 20.4 * i + 14, 870) for i in range(10)),
        ((212, 867),),
    ),
    Part("drip_tray", "Drip tray", "outside", "fine", "M206 874H211V897H399V874H404V902H206Z", ((209, 888),)),
)
