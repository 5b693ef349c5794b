"""What the audit recognises, what it does with it, and where the figures come from: data for a table to print."""

from dataclasses import dataclass

import numpy as np

from sheetcheck.chemistry.acids import MAY_TAKE_UP
from sheetcheck.chemistry.table import KOH, NAOH
from sheetcheck.reference import Substance, constants, sources, substances
from sheetcheck.words import later, number, tr

_WORTH_SAYING = 0.005  # share of fat or sugar from which it is worth a word


@dataclass(frozen=True, slots=True)
class Recognised:
    """One substance: its name, what it counts as, what is done with it, its source, and what a maker should know."""

    key: str
    name: str
    role: str
    computed: bool  # False: recognised, and a recipe with it is "not checked"
    done: str
    source: str
    note: str


def what_is_recognised(role: str | None = None) -> tuple[Recognised, ...]:
    """List everything that the tables know, fats first.

    Parameters
    ----------
    role
        fat, alkali, liquid, acid or additive; all where None.

    Returns
    -------
    tuple of Recognised
    """
    return tuple(_recognised(s) for s in substances().values() if role in (None, s.role))


def _recognised(substance: Substance) -> Recognised:
    return Recognised(
        key=substance.key,
        name=substance.name,
        role=substance.role,
        computed=substance.kind != "refused",
        done=_done(substance),
        source=str(sources()[substance.source]) if substance.source in sources() else substance.source,
        note=substance.note,
    )


def _done(substance: Substance) -> str:
    if substance.kind == "refused":
        return tr(_SOLUTION if substance.solution_of else _REFUSED)
    return {"fat": _fat, "alkali": _alkali, "liquid": _liquid, "acid": _acid}.get(substance.role, _additive)(substance)


_SOLUTION = later("computed with where its strength is stated; a recipe without it is not checked")
_REFUSED = later("recognised, not computed with: a recipe with it is not checked")


_GROUP = later(
    "a group of fats: takes up lye, {low} to {high} mg KOH/g by what it is made of, reckoned with {least}; "
    "no lye is recomputed from it"
)


def _fat(substance: Substance) -> str:
    low, typical, high = (number(v, 1) for v in (substance.sap_low, substance.sap_typical, substance.sap_high))
    if substance.vague:
        return tr(_GROUP, low=low, high=high, least=typical)
    done = tr("takes up lye: {low} to {high}, typically {typical} mg KOH/g", low=low, high=high, typical=typical)
    if not substance.unsaponifiable > 0:
        return done
    none = number(100 * substance.unsaponifiable, 0)
    return f"{done}; {tr('about {percent} % of it takes up none, which the figure allows for', percent=none)}"


def _alkali(substance: Substance) -> str:
    if substance.key == NAOH:
        return tr("taken as pure unless the book or a setting says otherwise")
    if substance.key == KOH:
        low, high = (number(v, 0) for v in (constants().koh_purity_low, constants().koh_purity_high))
        return tr(
            "never taken as pure in silence: sold at about {low} to {high} %, and shown at both ends without it",
            low=low,
            high=high,
        )
    return tr("counted as lye")


def _liquid(substance: Substance) -> str:
    done = [tr("{percent} % water", percent=number(100 * substance.water, 0))]
    if substance.fat >= _WORTH_SAYING:
        fat, value = number(100 * substance.fat, 1), number(substance.sap_typical, 1)
        done.append(tr("{percent} % fat, which takes up lye ({value} mg KOH/g)", percent=fat, value=value))
    if np.nan_to_num(substance.naoh_per_g) > 0:
        done.append(tr(_TAKES_UP, amount=number(substance.naoh_per_g, 3)))
    if substance.sugar >= _WORTH_SAYING:
        done.append(tr("{percent} % sugar", percent=number(100 * substance.sugar, 0)))
    if substance.alcohol >= _WORTH_SAYING:
        done.append(tr("{percent} % alcohol", percent=number(100 * substance.alcohol, 0)))
    return "; ".join(done)


_TAKES_UP = later("1 g takes up {amount} g NaOH")


def _acid(substance: Substance) -> str:
    amount = number(substance.naoh_per_g, 3)
    if substance.usual_strength < 1:
        return tr(
            "1 g takes up {amount} g NaOH at {percent} % acid, else by the strength stated",
            amount=amount,
            percent=number(100 * substance.usual_strength, 0),
        )
    return tr(_TAKES_UP, amount=amount)


def _additive(substance: Substance) -> str:
    if substance.key in MAY_TAKE_UP:
        return tr(
            "1 g may take up as much as {amount} g NaOH: a recipe with so much that it matters is not checked",
            amount=number(MAY_TAKE_UP[substance.key], 2),
        )
    taken = np.nan_to_num(substance.naoh_per_g)
    if taken > 0:
        return tr(_TAKES_UP, amount=number(taken, 3))
    if substance.fat >= _WORTH_SAYING:
        return tr(
            "{percent} % fat, which takes up lye where its amount is known", percent=number(100 * substance.fat, 1)
        )
    return tr("takes up no lye")
