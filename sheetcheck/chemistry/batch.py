"""All of the chemistry for a whole book at once.

`compute` adds to the frame of recipes the columns of `model.RECIPE_COMPUTED_COLUMNS` and these (`EXTRA_COLUMNS`):

naoh_g, koh_g            pure NaOH and KOH; NaN where unread or of unknown purity
alkali_least_g           alkali that is surely there (in the recipe's own alkali): KOH of unstated purity taken at the
                         weakest that is sold, and so is lye of unknown kind; amounts that were not read or cannot be
                         computed left out
alkali_most_g            the same with KOH of unstated purity taken as pure; NaN where an amount is unread
superfat_if_weak         typical superfat with `alkali_least_g` and all that may be taken up besides, anything unknown
                         taken for the thirstiest substance known: below 0 is free lye, whatever is not known
superfat_if_pure         typical superfat with `alkali_most_g`
doubtful_points          percent of the demand that may be taken up besides: by borax, by vinegar or cream of unknown
                         strength, by fat that may not be rendered; with water glass, and where these may move superfat
                         by more than 1.5 points, the demand is not known
superfat_published       typical superfat by the published values, where the maker's own are in use
naoh_recomputed_g, koh_recomputed_g
                         what to weigh of each alkali, as it is (its purity, its solution); both set where lye is mixed
recomputed_superfat      the superfat that the recomputed lye aims at, percent
recomputed_from          where that comes from: row | book | setting
superfat_from_liquids    points of superfat that the fat in milk and other liquids makes up
superfat_from_acids      points of superfat that acids make up
sugar_g, alcohol_g       in the liquids and additions: both make lye hotter
hottest_lye              upper bound of the lye's temperature [°C], water and lye starting at `ambient_temperature`;
                         NaN outside 10 to 42.5 % NaOH and with KOH
batter_ml                volume of the batter; NaN where the density of more than a twentieth of it is not known
superfat_if_aged         typical superfat if the lye had stood in air as `lye_moisture` and `lye_carbon_dioxide` say:
                         never lower than the one as written, and never in its place; NaN where neither is set
cured_least_g            least that the soap can weigh once it is dry: the batch without its water. A bar keeps some
soap_percent, fat_percent, glycerol_percent
                         what the fresh soap consists of [% of the batch]; the rest is water and what takes no part.
                         NaN where NaOH and KOH are mixed
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
import numpy.typing as npt
import pandas as pd

from sheetcheck.chemistry.effects import effects
from sheetcheck.chemistry.lines import Lines, purest, read_lines, weakest
from sheetcheck.chemistry.liquid import lye_concentration, water_per_lye
from sheetcheck.chemistry.outcome import free_alkali_percent
from sheetcheck.chemistry.ranges import Floats
from sheetcheck.chemistry.recomputed import recompute
from sheetcheck.chemistry.superfat import superfat_percent
from sheetcheck.chemistry.table import Mask, table
from sheetcheck.model import OwnValue
from sheetcheck.reference import constants
from sheetcheck.settings import Settings

EXTRA_COLUMNS = (
    "naoh_g",
    "koh_g",
    "alkali_least_g",
    "alkali_most_g",
    "superfat_if_weak",
    "superfat_if_pure",
    "superfat_published",
    "doubtful_points",
    "naoh_recomputed_g",
    "koh_recomputed_g",
    "recomputed_superfat",
    "recomputed_from",
    "superfat_from_liquids",
    "superfat_from_acids",
    "sugar_g",
    "alcohol_g",
    "hottest_lye",
    "batter_ml",
    "superfat_if_aged",
    "cured_least_g",
    "soap_percent",
    "fat_percent",
    "glycerol_percent",
)


def compute(
    recipes: pd.DataFrame, components: pd.DataFrame, settings: Settings, own_values: Sequence[OwnValue] = ()
) -> pd.DataFrame:
    """Compute every recipe of a book.

    Parameters
    ----------
    recipes
        Columns of `model.RECIPE_READ_COLUMNS`, of which `stated_superfat` is used; index: recipe number.
    components
        Columns of `model.COMPONENT_COLUMNS`; used: recipe, role, substance, grams, bears, strength.
    settings
        Purities, targets, limits, and whether the maker's own values are used.
    own_values
        Saponification values of the maker's own, used where `settings.use_own_values`.

    Returns
    -------
    DataFrame
        A copy of `recipes` with the computed columns added. NaN wherever an amount that a number rests on is unread.
    """
    values = table(tuple(own_values) if settings.use_own_values else ())
    lines = read_lines(recipes.index, components, values, settings)
    alkali = _alkali(lines)
    demand = _demand(lines, settings)
    result = recipes.assign(**_masses(lines), **_judged(lines, alkali, demand))
    return result.assign(**recompute(result, lines, settings), **effects(result, lines, settings))


@dataclass(frozen=True, slots=True)
class _Alkali:
    """The alkali of each recipe: pure masses of both kinds [g], NaN where not known."""

    naoh: Floats
    koh: Floats
    naoh_least: Floats
    koh_least: Floats
    naoh_most: Floats
    koh_most: Floats
    unnamed_least: Floats  # of alkali of unknown kind, as NaOH: what it is worth as the weakest that is sold
    has_naoh: Mask
    has_koh: Mask
    unclear: Mask  # some alkali is not known, or cannot be computed with

    @property
    def kind(self) -> npt.NDArray[np.object_]:
        """NaOH, KOH, mixed, or None where there is none or it is not clear."""
        kinds = [self.has_naoh & self.has_koh, self.has_naoh, self.has_koh]
        named = np.select(kinds, [_word("mixed"), _word("NaOH"), _word("KOH")], default=_word(None))
        return np.where(self.unclear, _word(None), named)

    @property
    def unit(self) -> Floats:
        """The g NaOH that one gram of the recipe's own alkali stands for: 1, or for KOH alone its ratio."""
        return np.where(self.has_koh & ~self.has_naoh, constants().naoh_per_koh, 1.0)

    def as_own(self, naoh: Floats, koh: Floats) -> Floats:
        """Add two pure masses in the recipe's own alkali; for mixed alkali as NaOH. Nothing at all is not known."""
        return _nothing_to_nan((naoh + koh * constants().naoh_per_koh) / self.unit)


def _word(word: str | None) -> npt.NDArray[np.object_]:
    return np.array(word, dtype=object)


def _nothing_to_nan(total: Floats) -> Floats:
    return np.where(total > 0, total, np.nan)


def _alkali(lines: Lines) -> _Alkali:
    there = lines.grams != 0
    unclear = lines.any(lines.is_alkali & ~lines.is_naoh & ~lines.is_koh & there)
    pure, least, most = (lines.grams * strength for strength in (lines.strength, weakest(lines), purest(lines)))
    read = np.nan_to_num(least, nan=0.0)

    def clear(total: Floats) -> Floats:
        return np.where(unclear, np.nan, total)

    return _Alkali(
        naoh=clear(lines.total(pure, lines.is_naoh)),
        koh=clear(lines.total(pure, lines.is_koh)),
        naoh_least=lines.total(read, lines.is_naoh),
        koh_least=lines.total(read, lines.is_koh),
        naoh_most=clear(lines.total(most, lines.is_naoh)),
        koh_most=clear(lines.total(most, lines.is_koh)),
        unnamed_least=lines.total(np.nan_to_num(lines.grams) * _weakest_alkali(), lines.is_unnamed_alkali),
        has_naoh=lines.any(lines.is_naoh & there),
        has_koh=lines.any(lines.is_koh & there),
        unclear=unclear,
    )


def _weakest_alkali() -> float:
    """Return what one gram of lye is worth at the least, as NaOH, whichever lye it is: KOH of the lowest purity."""
    return constants().koh_purity_low / 100 * constants().naoh_per_koh


def _masses(lines: Lines) -> dict[str, Floats]:
    """Return what the recipe lists, as written; a sum of fats may be 0, no liquid or no water at all is not known."""
    return {
        "fat_g": lines.total(lines.grams, lines.is_fat),
        "fat_in_liquids_g": lines.added(lambda part: part.total(part.of(part.fat))),
        "liquid_g": _nothing_to_nan(lines.total(lines.grams, lines.is_liquid)),
        "water_g": _nothing_to_nan(lines.added(lambda part: part.total(part.of(part.water)))),
        "batch_g": _nothing_to_nan(lines.total(lines.grams)),
    }


@dataclass(frozen=True, slots=True)
class _Demand:
    """What each recipe takes up, as NaOH [g]."""

    low: Floats
    typical: Floats
    high: Floats
    published: Floats  # typical by the published values
    most: Floats  # typical, and all that may be taken up besides, by anything unknown too
    doubtful_points: Floats  # what may be taken up besides, percent of typical


def _demand(lines: Lines, settings: Settings) -> _Demand:
    """Return the demand; unknown where borax and the like may take up so much that superfat cannot be judged."""
    known = _nothing_to_nan(lines.added(lambda part: part.total(part.of(part.typical))))
    besides = lines.added(lambda part: part.total(part.of(part.doubtful)))
    points = 100 * besides / known
    silent = lines.any(lines.is_silent & (lines.grams != 0)) | (points > settings.limit("superfat_off_statement"))
    typical = np.where(silent, np.nan, known)
    published = _nothing_to_nan(lines.added(lambda part: part.total(part.of(part.published))))
    down, up = lines.spread()
    bounded = replace(lines, grams=_no_more_acid_than_liquid(lines))
    return _Demand(
        low=typical - down,
        typical=typical,
        high=typical + up + besides,
        published=np.where(silent, np.nan, published),
        most=_nothing_to_nan(bounded.added(lambda part: part.total(part.of(_at_most(part))))) + besides,
        doubtful_points=points,
    )


def _no_more_acid_than_liquid(lines: Lines) -> Floats:
    """Return the grams, with an acid whose weight was not read as heavy as all the liquid of its recipe.

    It dissolves in it, or stands in for it. One that is only spoken of counts as none: no remark hides free lye.
    """
    unread = lines.is_acid & np.isnan(lines.grams)
    liquid = lines.total(lines.grams, lines.is_liquid)[lines.recipe]
    return np.where(unread, np.where(lines.in_words, 0.0, liquid), lines.grams)


def _at_most(lines: Lines) -> Floats:
    """Return what 1 g of each line may take up [g NaOH]: of something unknown, as much as any substance that is known.

    Lye beyond that is free, whatever the unknown may be.
    """
    thirstiest = max(np.nanmax(lines.table.high), np.nanmax(lines.table.per_g_pure))
    return np.where(np.isnan(lines.typical), thirstiest, lines.typical)


def _judged(lines: Lines, alkali: _Alkali, demand: _Demand) -> dict[str, Any]:
    """Return demand, superfat and lye, in the recipe's own alkali."""
    own = alkali.as_own(alkali.naoh, alkali.koh)
    least = alkali.as_own(alkali.naoh_least + alkali.unnamed_least, alkali.koh_least)
    most = alkali.as_own(alkali.naoh_most, alkali.koh_most)
    low, typical, high = (needed / alkali.unit for needed in (demand.low, demand.typical, demand.high))
    in_lye = _nothing_to_nan(alkali.naoh + alkali.koh)
    water = _nothing_to_nan(lines.added(lambda part: part.total(part.of(part.water))))
    return {
        "alkali": alkali.kind,
        "alkali_g": own,
        "needed_low_g": low,
        "needed_typical_g": typical,
        "needed_high_g": high,
        "superfat_low": superfat_percent(own, low),
        "superfat_typical": superfat_percent(own, typical),
        "superfat_high": superfat_percent(own, high),
        "lye_concentration": lye_concentration(in_lye, water),
        "water_per_lye": water_per_lye(in_lye, water),
        "free_alkali_percent": free_alkali_percent(own * alkali.unit, demand.typical, lines.total(lines.grams)),
        "naoh_g": alkali.naoh,
        "koh_g": alkali.koh,
        "alkali_least_g": least,
        "alkali_most_g": most,
        "superfat_if_weak": superfat_percent(least, demand.most / alkali.unit),
        "superfat_if_pure": superfat_percent(most, typical),
        "superfat_published": superfat_percent(own, demand.published / alkali.unit),
        "doubtful_points": demand.doubtful_points,
    }
