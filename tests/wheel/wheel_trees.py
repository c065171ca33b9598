# ruff: noqa: E501
"""An invented coffee that five invented people tasted: fourteen found things, among them all that a wheel can show."""

from __future__ import annotations

from tastevocab.wheel.tree import Printed, Strip, WheelNode, WheelTree

RING = (
    "flower_bench", "tea_caddy", "green_bed", "citrus_crate", "hot_climate_stall", "orchard", "hedgerow_vine",
    "preserving_pan", "bottle_shelf", "sugar_jar", "bakers_bench", "choc_cream", "spice_tin", "hearth_timber",
)  # fmt: skip

FOUND = (  # category, its print, family, its print, note ("" = the family itself), own weight, people, hedged share
    ("tea_caddy", "Tea", "black_leaf", "black tea", "black_tea", "black tea", 9.0, 4, 0.0),
    ("citrus_crate", "Citrus", "peel_oil", "citrus peel and oil", "bergamot", "bergamot", 7.5, 3, 0.0),
    ("citrus_crate", "Citrus", "peel_oil", "citrus peel and oil", "orange_zest", "orange zest", 3.0, 2, 0.5),
    ("citrus_crate", "Citrus", "orange_mandarin", "orange and mandarin", "mandarin", "mandarin", 5.5, 3, 0.0),
    ("citrus_crate", "Citrus", "orange_mandarin", "orange and mandarin", "", "", 4.5, 3, 0.0),
    ("orchard", "Orchard fruit", "golden_stone", "peach and apricot", "apricot", "apricot", 6.0, 3, 0.4),
    ("orchard", "Orchard fruit", "golden_stone", "peach and apricot", "nectarine", "nectarine", 2.0, 1, 0.0),
    ("orchard", "Orchard fruit", "golden_stone", "peach and apricot", "", "", 2.5, 2, 0.0),
    ("hedgerow_vine", "Berries and grapes", "dark_berries", "dark berries", "blackcurrant", "blackcurrant", 4.0, 2, 0.0),
    ("hedgerow_vine", "Berries and grapes", "reach/dark_fruit", "dark fruit", "", "", 8.0, 4, 0.0),
    ("sugar_jar", "Sugars and honey", "honeys", "honeys", "acacia_honey", "acacia honey", 4.5, 3, 0.0),
    ("bakers_bench", "Baking and nuts", "biscuit_pastry", "biscuit", "shortbread", "shortbread", 2.2, 1, 1.0),
    ("choc_cream", "Chocolate and cream", "dark_choc", "dark chocolate and cocoa", "cocoa_nib", "cocoa nib", 5.0, 3, 0.0),
    ("choc_cream", "Chocolate and cream", "dark_choc", "dark chocolate and cocoa", "", "", 2.3, 2, 0.0),
)  # fmt: skip

PRINTED = (
    Printed("tea_caddy/black_leaf/black_tea", "black tea", 4, 5, ("tea_caddy/black_leaf/black_tea",)),
    Printed("reach/dark_fruit", "dark fruit", 4, 5, ("reach/dark_fruit", "hedgerow_vine/dark_berries/blackcurrant")),
    Printed(
        "citrus_crate/orange_mandarin", "orange and mandarin", 3, 5,
        ("citrus_crate/orange_mandarin", "citrus_crate/orange_mandarin/mandarin"),
    ),
)  # fmt: skip
STEPS = {
    "sweetness": ("absent", "hint", "moderate", "sweet", "syrup-sweet"),
    "acidity": ("flat", "soft", "clear", "lively", "piercing"),
    "bitterness": ("none", "faint", "firm", "strong", "harsh"),
    "weight": ("watery", "light", "medium", "full", "syrupy"),
    "drying": ("none", "slight grip", "drying", "puckering", "mouth-stripping"),
    "finish": ("cut off", "short", "medium", "long", "lingering"),
}
MARKS = {
    "sweetness": (3, 3, 4, 3, 4), "acidity": (4, 4, 5, 4, 3), "bitterness": (2, 2, 1, 2, 2),
    "weight": (2, 2, 3, 2, 3), "drying": (1, 2, 1, 1, 2), "finish": (3, 2, 4, 3, 3),
}  # fmt: skip
TASTERS = ("Mira", "Otto", "Pilar", "Sven", "Tove")


def make_tree(rows: tuple = FOUND, of: int = 5, title: str = "Vale Alto", **more: object) -> WheelTree:
    """A tree from rows like FOUND; categories and families sum themselves up."""
    total: dict[str, float] = {}
    nodes: dict[str, dict] = {}
    own: dict[str, float] = {}
    people: dict[str, int] = {}
    own_people: dict[str, int] = {}
    hedged: dict[str, float] = {}
    for cat, cat_print, fam, fam_print, note, note_print, weight, k, doubt in rows:
        reach = fam.startswith("reach/")
        family = fam if reach else f"{cat}/{fam}"
        nodes.setdefault(cat, {"id": cat, "parent": "", "label": cat_print, "level": "category"})
        nodes.setdefault(
            family,
            {"id": family, "parent": cat, "label": fam_print, "level": "reach" if reach else "family", "open": reach},
        )
        leaf = f"{family}/{note}" if note else family
        if note:
            nodes[leaf] = {"id": leaf, "parent": family, "label": note_print, "level": "note"}
        for id in {cat, family, leaf}:
            total[id] = total.get(id, 0) + weight
            people[id] = max(people.get(id, 0), k)
        own[leaf] = own.get(leaf, 0) + weight
        own_people[leaf] = k
        hedged[leaf] = doubt
    made = tuple(
        WheelNode(
            **n, wedge=total[id], own=own.get(id, 0.0), people=people[id], of=of, hedged_share=hedged.get(id, 0.0),
            evidence=(f"Mira, 01:23: a bit of {n['label']}",) if id in own else (), own_people=own_people.get(id),
            denials=1 if id.endswith("nectarine") else 0,
        )
        for id, n in nodes.items()
    )  # fmt: skip
    strips = tuple(
        Strip(k, STEPS[k], tuple(zip(TASTERS, v, strict=True)), float(sorted(v)[2])) for k, v in MARKS.items()
    )
    base: dict = {
        "subtitle": ("filter, warm", "5 tasters, blind", "day 9 after roasting"),
        "footer": (
            "Weighting: geometric mean of frequency and intensity; hedges count 1, 0.5 and 0.25. Vocabulary coffee 1.0.",
            "Flavour words are likenesses tasted by 5 people on 2 March 2026; n = 5, one person is 20 points.",
            "Not an ingredient or allergen statement. Other brews and temperatures will differ.",
        ),
        "tasters": of,
        "strips": strips,
        "printed": tuple(word for word in PRINTED if set(word.over) & set(nodes)) if of == 5 else (),
        "quorum": of // 2 + 1 if of > 1 else 0,
    }
    return WheelTree(made, RING, title, **{**base, **more})
