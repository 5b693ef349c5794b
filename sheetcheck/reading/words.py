"""Words by which a maker's sheet says what a line or a block is, folded (see text.fold), in the tables' languages."""

from __future__ import annotations

import re

from sheetcheck.reading.text import fold
from sheetcheck.words import later


def _any_of(words: str) -> str:
    """Return a pattern of words that stand in a text one after another, parted by semicolons."""
    return "|".join(word for part in words.split(";") if (word := " ".join(part.split())))


_TOTALS = r"""
    (?:grand |sub ?|running )?totals?; tot; sums?; sum of; altogether; all together; together; in all; averages?; mean;
    used(?: up)?(?: (?:this|so far|on this|per))?(?: (?:page|year|month|sheet|side))?(?= ?$| (?:by|in|until|up)\b);
    carried (?:over|forward);
    summen?; gesamt\w*; zwischensumme; insgesamt; zusammen; verbrauch; ubertrag; durchschnitt; mittelwert;
    total\w*; sous total; somme; ensemble; moyenne; suma; promedio; somma; insieme; media;
    totaal; som; samen; gemiddeld\w*; soma"""
_TOTAL = re.compile(rf"^(?:{_any_of(_TOTALS)})\b")
_LIKE_TOTAL = re.compile(
    "tot|sum|som|aver|mean|used|carr|alto|toge|in all|gesa|zwis|insg|zusa|verb|[uü]ber|durc|mitt|ense|moye|prom|insi|"
    "medi|geme|same",
    re.IGNORECASE,
)  # worth a closer look
_TOTAL_WORDS = 5  # a name that merely begins so ("Total Eclipse bar with oats and honey") is longer or other

# A block or sheet that says it is something else than recipes for soap.
_OTHER = {
    later("a shopping list"): r"""
        shopping; to buy; buy; bought; paid; purchas\w*; groceries; einkauf\w*; kaufen; gekauft; bezahlt; besorgen;
        courses; achats?; acheter; achete; paye; compras?; comprar; comprado; pagado; pago; spesa; acquist\w*; comprato;
        pagato; boodschappen; kopen; inkopen; gekocht; betaald""",
    later("a list of prices or costs"): r"""
        prices?; pricing; price ?list; costs?; costing; invoices?; suppliers?; receipts?; preise?; preisliste; kosten;
        lieferant\w*; prix; couts?; tarifs?; precios?; costes?; costi; prezz[io]; listino; prijzen; prijslijst;
        precos?; custos?""",
    later("a list of stock, orders or sales"): r"""
        stocks?; stocktake; inventory; larder; on hand; in store; (?:re ?)?orders?; sales; sold; minimum; vorrat;
        vorrate; lager; bestand; mindestbestand; inventar; bestell\w*; verkauf\w*; inventaire; reserves?; ventes;
        existencias; inventario; ventas; scorte; magazzino; vendite; voorraad; verkoop; estoque; vendas""",
    later("something other than soap"): r"""
        balms?; salves?; lotions?; creams?; ointments?; body butter; lip ?balm; candles?; melts; deodorants?;
        bath bombs?; no lye; not soap; not a soap; balsam\w*; salben?; creme; lippenpflege; kerzen?; keine seife;
        ohne lauge; baumes?; pommades?; cremes?; bougies?; pomadas?; unguento?s?; velas?; pomat[ae]; candel[ae];
        balsems?; zalf; zalven; kaarsen""",
    later("about moulds"): "moulds?; molds?; formen; seifenformen; moules?; moldes?; stampi; stampo; mallen; formas",
    later("a table of saponification values"): r"""
        saponification values?; sap values?; saponification; sap; verseifungszahl\w*; indices? de saponification;
        indices? de saponificacion; indice di saponificazione; verzepingsgetal\w*; indice de saponificacao""",
    later("a list of contents"): r"""
        index; contents; table of contents; inhalt; inhaltsverzeichnis; sommaire; table des matieres; contenido; indice;
        sommario; inhoudsopgave; sumario""",
}
_OTHERS = tuple((re.compile(rf"\b(?:{_any_of(words)})\b"), what) for what, words in _OTHER.items())
_SOAP = re.compile(
    r"\b(?:soaps?|bars?|recipes?|seifen?|\w+seifen?|rezepte?|savons?|jabon\w*|sapon[ei]|zepen?|sabao|saboes|sabonete\w*)\b"
)


_PROPERTY = re.compile(
    r"(?:hard\w*|clean\w*|condition\w*|bubbl\w*|cream\w*|lather\w*|foam\w*|stable|mild\w*|iodine(?: value)?|"
    r"lauric|myristic|palmitic|stearic|ricinoleic|oleic|linoleic|linolenic|hart\w*|schaum\w*|pflege\w*|durete|mousse|"
    r"dureza|espuma|durezza|schiuma|hardheid|schuim)(?: acid)?"
)


def is_property(text: str) -> bool:
    """Tell whether a heading names what a fat does in a soap, or what it is made of: `hard`, `bubbly`, `oleic`."""
    return _PROPERTY.fullmatch(fold(text)) is not None


def is_total(text: str) -> bool:
    """Tell whether a line's name says that it is a sum, an average or what was used, and not a recipe."""
    if not _LIKE_TOTAL.search(text):
        return False
    folded = fold(text)
    return len(folded.split()) <= _TOTAL_WORDS and bool(_TOTAL.match(folded))


def is_plain_total(text: str) -> bool:
    """Tell whether a name says nothing but that the line is a sum."""
    return _TOTAL.fullmatch(fold(text)) is not None


def goods_said(text: str) -> str | None:
    """Return what a heading says that its column counts, where that is goods bought or kept; else None."""
    said = other_than_soap(text)
    return said if said in _GOODS else None


_GOODS = frozenset({"a shopping list", "a list of stock, orders or sales"})


def other_than_soap(text: str, *, with_lye: bool = False) -> str | None:
    """Return what a title says that its block is, where that is not recipes for soap; else None.

    A block `with_lye` and liquid is no balm and no candle, whatever its title is (`Café crème`, `Candlelight`).
    """
    folded = fold(text)
    for pattern, what in _OTHERS:
        if pattern.search(folded):
            clear = what == "something other than soap" and ("no lye" in folded or "not soap" in folded)
            clear = clear or what == "a list of contents"  # `Recipe index`
            if with_lye and not clear and what == "something other than soap":
                return None
            return what if clear or not _SOAP.search(folded) else None
    return None
