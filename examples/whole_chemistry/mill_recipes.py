"""The recipes of the mill: invented, each for one thing that a maker puts into soap.

A recipe is its name, what its maker remarks, and its lines: `what goes in`, a space, `how much`. Lye and liquid were
reckoned from middle saponification values for the superfat in the remark, and rounded as a kitchen scale shows them.
"""

from __future__ import annotations

Recipe = tuple[str, str, str]
Sheet = tuple[str, str, tuple[Recipe, ...]]  # name, unit, recipes

SOUND: tuple[Sheet, ...] = (
    (
        "Milk and cream",
        "oz",
        (
            ("Millrace", "superfat 5 %, milk frozen first", "Lard 32 | Goat milk 10 | Lye 4.31"),
            ("Tailrace", "superfat 5 %", "Olive oil 20 | Coconut oil 12 | Cow's milk 10 | Lye 4.74"),
            ("Penstock", "superfat 6 %", "Tallow 24 | Coconut oil 8 | Sheep's milk 10.5 | Lye 4.68"),
            ("Weir", "superfat 5 %", "Olive oil 24 | Coconut oil 8 | Water 5 | Buffalo milk 5.5 | Lye 4.58"),
            ("Leat", "superfat 5 %", "Lard 24 | Olive oil 8 | Water 8 | Heavy cream 3 | Lye 4.4"),
            ("Headgate", "superfat 5 %", "Lard 20 | Coconut oil 12 | Buttermilk 11 | Lye 4.76"),
            ("Flume", "superfat 6 %", "Olive oil 32 | Water 6 | Yoghurt 4 | Lye 4.15"),
            ("Spillway", "superfat 5 %", "Lard 32 | Water 6 | Evaporated milk 5 | Lye 4.31"),
            ("Paddle", "superfat 5 %, powder at trace", "Lard 32 | Water 10 | Goat milk powder 1.2 | Lye 4.3"),
            ("Sternpost", "superfat 6 %", "Olive oil 20 | Castor oil 2 | Coconut oil 8 | Coconut milk 12 | Lye 4.64"),
            ("Bucket", "superfat 5 %", "Palm oil 16 | Olive oil 16 | Coconut water 10.5 | Lye 4.25"),
            ("Waterwheel", "superfat 5 %", "Tallow 32 | Half water, half milk 10 | Lye 4.32"),
            ("Axle", "superfat 5 %, yolk in a little warm fat", "Olive oil 28 | Egg yolk 1.2 | Water 9 | Lye 3.69"),
            ("Icehouse", "superfat 5 %", "Lard 32 | Ice 5 | Goat milk 5 | Lye 4.28"),
        ),
    ),
    (
        "Beer, tea, juice",
        "g",
        (
            ("Grist", "superfat 5 %, boiled down and cold", "Olive oil 600 | Coconut oil 250 | Beer 280 | Lye 122"),
            ("Hopper", "superfat 5 %, gone flat", "Olive oil 700 | Coconut oil 200 | Red wine 290 | Lye 126"),
            ("Bolter", "superfat 5 %", "Lard 900 | Nettle tea 285 | Lye 119"),
            ("Quern", "superfat 5 %", "Lard 600 | Coconut oil 250 | Cold coffee 285 | Lye 123"),
            ("Millstone", "superfat 5 %", "Olive oil 850 | Aloe vera gel 270 | Lye 111"),
            ("Runner", "superfat 5 %", "Olive oil 600 | Palm oil 250 | Apple juice 280 | Lye 112"),
            ("Bedstone", "superfat 5 %", "Olive oil 600 | Lard 250 | Water 180 | Carrot juice 110 | Lye 111"),
            ("Spindle", "superfat 5 %, honey in two spoons of water", "Lard 900 | Water 280 | Honey 20 | Lye 119"),
            ("Damsel", "superfat 5 %", "Lard 500 | Coconut oil 350 | Water 300 | Sugar 15 | Lye 127"),
            ("Shoe", "superfat 5 %, 16 hours in the mould", "Olive oil 850 | Brine 330 | Lye 111"),
        ),
    ),
    (
        "Acids, salts, waxes",
        "g",
        (
            ("Sack", "superfat 5 %", "Olive oil 900 | Water 320 | Citric acid 15 | Lye 126"),
            ("Hoist", "superfat 5 %", "Olive oil 900 | Water 320 | Citric acid monohydrate 15 | Lye 125"),
            ("Chute", "superfat 5 %", "Lard 900 | Water 310 | Lactic acid 80 % 20 | Lye 126"),
            ("Garner", "superfat 5 %, lye into the cold vinegar", "Lard 900 | Vinegar 5 % 300 | Lye 129"),
            ("Bin", "superfat 5 %", "Lard 900 | Water 200 | Vinegar 10 % 100 | Lye 126"),
            ("Trough", "superfat 5 %", "Olive oil 900 | Water 290 | Ascorbic acid 9 | Lye 119"),
            ("Sieve", "superfat 5 %", "Olive oil 900 | Water 300 | Tartaric acid 10 | Lye 122"),
            ("Bran", "superfat 5 %", "Olive oil 900 | Water 300 | Malic acid 10 | Lye 123"),
            (
                "Meal",
                "superfat 5 %, for shaving",
                "Tallow 500 | Stearic acid 350 | Coconut oil 100 | Water 330 | Lye 133",
            ),
            ("Flour", "superfat 5 %", "Coconut oil 400 | Olive oil 500 | Water 320 | Baking soda 10 | Lye 139"),
            ("Husk", "superfat 5 %", "Lard 900 | Water 290 | Sodium lactate 25 | Sodium citrate 10 | Lye 119"),
            ("Chaff", "superfat 5 %", "Tallow 850 | Rosin 100 | Water 300 | Lye 126"),
            ("Skep", "superfat 5 %", "Olive oil 600 | Coconut oil 250 | Beeswax 20 | Lanolin 30 | Water 290 | Lye 125"),
            ("Scales", "superfat 5 %", "Lard 900 | Water 290 | Borax 4 | Lye 119"),
        ),
    ),
    (
        "Lyes",
        "g",
        (
            ("Cog", "superfat 5 %", "Lard 900 | Water 280 | Lye 119"),
            ("Pinion", "superfat 5 %", "Lard 900 | Water 280 | Lye 97 % 123"),
            ("Lantern", "superfat 4 %, soft soap", "Olive oil 900 | Water 420 | KOH 90 % 185"),
            (
                "Crown Wheel",
                "superfat 5 %, for shaving",
                "Tallow 600 | Coconut oil 250 | Water 330 | KOH 90 % 100 | Lye 60",
            ),
            ("Trundle", "superfat 5 %", "Olive oil 600 | Coconut oil 250 | Water 155 | Lye 50 % 243"),
            ("Brake", "superfat 5 %", "Lard 900 | Soda lye 36 °Bé 395"),
            ("Gudgeon", "superfat 5 %", "Tallow 900 | Caustic soda lye 72 °Tw 365"),
            ("Bearing", "superfat 5 %", "Lard 900 | Lye sp. gr. 1.33 at 20 °C 392"),
            ("Collar", "superfat 4 %, soft soap", "Olive oil 900 | Water 200 | Potassium hydroxide 50 % 333"),
        ),
    ),
    (
        "Superfat in words",
        "g",
        (
            ("Loft", "superfat 5 %", "Lard 900 | Water 280 | Lye 119"),
            ("Ladder", "lye discount 6 %", "Olive oil 900 | Water 270 | Lye 116"),
            ("Lintel", "5 % less lye", "Tallow 900 | Water 280 | Lye 121"),
            ("Rafter", "shea butter at trace, on top", "Olive oil 850 | Shea butter 43 | Water 270 | Lye 115"),
            (
                "Gable",
                "castor oil is the superfat, counted with the rest",
                "Lard 850 | Castor oil 45 | Water 280 | Lye 118",
            ),
            ("Mill Fair", "superfat 5 %, all four moulds", "Lard 3600 | Olive oil 1400 | Water 1560 | Lye 660"),
        ),
    ),
)

REFUSED: tuple[Sheet, ...] = (
    (
        "Lye of what strength",
        "g",
        (
            ("Tin", "a can as it came", "Lard 900 | Water 280 | Can of lye 1"),
            ("Jug", "from the big jug", "Lard 900 | Soda lye 395"),
            ("Twice Told", "the label was wet", "Lard 900 | Soda lye 36 °Bé or 40 °Bé 395"),
            ("Syrup", "very thick", "Lard 900 | Water 200 | Soda lye 60 °Bé 180"),
            ("Copper", "wash day", "Tallow 900 | Water 300 | Washing soda 160"),
            ("Pearl", "grandmother's", "Lard 900 | Water 300 | Pearl ash 200"),
            ("Hearth", "run through straw", "Tallow 900 | Wood-ash lye 700"),
            ("White Jar", "no label", "Olive oil 900 | Water 420 | KOH 186"),
            ("Brown Jar", "no label either", "Olive oil 900 | Water 420 | KOH 240"),
        ),
    ),
    (
        "Takes up who knows what",
        "g",
        (
            ("Pane", "hard, for floors", "Tallow 900 | Water 280 | Water glass 60 | Lye 119"),
            ("Linen", "for whites", "Tallow 900 | Water 290 | Borax 60 | Lye 119"),
            ("Little Linen", "superfat 5 %, for whites", "Tallow 900 | Water 290 | Borax 4 | Lye 120"),
            ("Glass Bar", "meant to be clear", "Tallow 500 | Castor oil 400 | Water 150 | Vodka 120 | Lye 115"),
        ),
    ),
    (
        "Superfat below nothing",
        "g",
        (
            ("Bottle", "liquid soap, 2 % excess lye, neutralise after", "Olive oil 900 | Water 420 | KOH 90 % 197"),
            ("Sour", "citric acid left out, lye for it left in", "Olive oil 900 | Water 320 | Lye 126"),
        ),
    ),
)
