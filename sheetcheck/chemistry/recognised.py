"""What the audit recognises, what it does with it, and where the figures come from: data for a table to print."""

from dataclasses import dataclass

import numpy as np

from sheetcheck.chemistry.acids import MAY_TAKE_UP
from sheetcheck.chemistry.table import KOH, NAOH
from sheetcheck.reference import Substance, constants, sources, substances

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
        return _REFUSED[bool(substance.solution_of)]
    return {"fat": _fat, "alkali": _alkali, "liquid": _liquid, "acid": _acid}.get(substance.role, _additive)(substance)


_REFUSED = {
    True: "computed with where its strength is stated; a recipe without it is not checked",
    False: "recognised, not computed with: a recipe with it is not checked",
}


def _fat(substance: Substance) -> str:
    low, typical, high = substance.sap_low, substance.sap_typical, substance.sap_high
    done = f"takes up lye: {low:g} to {high:g}, typically {typical:g} mg KOH/g"
    if substance.unsaponifiable > 0:
        done += f"; about {100 * substance.unsaponifiable:.0f} % of it takes up none, which the figure allows for"
    return done


def _alkali(substance: Substance) -> str:
    if substance.key == NAOH:
        return "taken as pure unless the book or a setting says otherwise"
    if substance.key == KOH:
        low, high = constants().koh_purity_low, constants().koh_purity_high
        return f"never taken as pure in silence: sold at about {low:g} to {high:g} %, and shown at both ends without it"
    return "counted as lye"


def _liquid(substance: Substance) -> str:
    done = [f"{100 * substance.water:.0f} % water"]
    if substance.fat >= _WORTH_SAYING:
        done.append(f"{100 * substance.fat:.1f} % fat, which takes up lye ({substance.sap_typical:g} mg KOH/g)")
    if substance.sugar >= _WORTH_SAYING:
        done.append(f"{100 * substance.sugar:.0f} % sugar")
    if substance.alcohol >= _WORTH_SAYING:
        done.append(f"{100 * substance.alcohol:.0f} % alcohol")
    return "; ".join(done)


def _acid(substance: Substance) -> str:
    done = f"1 g takes up {substance.naoh_per_g:.3f} g NaOH"
    if substance.usual_strength < 1:
        done += f" at {100 * substance.usual_strength:g} % acid, else by the strength stated"
    return done


def _additive(substance: Substance) -> str:
    if substance.key in MAY_TAKE_UP:
        most = MAY_TAKE_UP[substance.key]
        return f"1 g may take up as much as {most:.2f} g NaOH: a recipe with so much that it matters is not checked"
    taken = np.nan_to_num(substance.naoh_per_g)
    if taken > 0:
        return f"1 g takes up {taken:.3f} g NaOH"
    if substance.fat >= _WORTH_SAYING:
        return f"{100 * substance.fat:.1f} % fat, which takes up lye where its amount is known"
    return "takes up no lye"
