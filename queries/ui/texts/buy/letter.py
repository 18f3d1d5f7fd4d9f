"""The letter to a supplier: what is ordered, and exactly what is not known."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from knockon.queries.buy.order import OrderBought
from knockon.queries.buy.questions import LEAD_DAYS, NOT_ITEMISED, POSTAGE, SIZE, STOCK, TAX, WEIGHT, Question
from knockon.queries.ui.naming import Naming, listed
from knockon.queries.ui.sentences import buy as say


def letter(naming: Naming, order: OrderBought, supplier: str) -> list[str]:
    """The letter, line by line; a list's lines begin with a dash."""
    bill = next(b for b in order.parcel_bills if b.supplier == supplier)
    lines = [say.DEAR.format(supplier=supplier), "", say.PLEASE_SEND]
    for line in order.lines:
        if line.supplier == supplier:
            packs = f"{line.quantity} {say.PACKS.format(pack=line.pack)}" if line.pack > 1 else str(line.quantity)
            said = say.LETTER_LINE.format(
                quantity=packs, number=line.part or line.kit, name=line.title, price=line.price
            )
            old = say.LETTER_SURCHARGE.format(units=line.exchanged) if line.exchanged else ""
            lines.append(f"- {', '.join(x for x in (said, old) if x)}")
    money = {"goods": bill.goods, "postage": bill.postage, "surcharges": bill.surcharges, "tax": bill.tax}
    lines += ["", say.SUM.format(**money, total=bill.total), ""]
    questions = list(question_lines(naming, [q for q in order.ask if q.supplier == supplier]))
    return [*lines, *([say.PLEASE_TELL, *(f"- {q}" for q in questions)] if questions else [say.NOTHING_ASKED])]


def question_lines(naming: Naming, asked: Sequence[Question]) -> Iterator[str]:
    """The questions to one supplier as sentences: sizes of one feature together, parts of one question together."""
    for q in asked:
        if q.about == NOT_ITEMISED:
            yield say.CONTENTS_OF.format(what=q.what, kit=q.of)
    sizes: dict[tuple[str, str], list[str]] = {}
    for q in asked:
        if q.about == SIZE:
            feature, _, dimension = q.what.partition(": ")
            sizes.setdefault((q.of, feature), []).append(dimension)
    for (number, feature), dimensions in sizes.items():
        known = listed(list(dict.fromkeys(dimensions)))
        yield say.SIZE_OF.format(part=naming.part(number), feature=feature, dimensions=known)
    stock, days, weights = ([q.of for q in asked if q.about == about] for about in (STOCK, LEAD_DAYS, WEIGHT))
    either = [number for number in stock if number in days]
    groups = (
        (say.IN_STOCK, either),
        (say.STOCK_ONLY, [n for n in stock if n not in either]),
        (say.DAYS_ONLY, [n for n in days if n not in either]),
        (say.WEIGHT_OF, weights),
    )
    for template, numbers in groups:
        if numbers:
            yield template.format(parts=naming.hands(numbers))
    for about, said in ((POSTAGE, say.POSTAGE_OF), (TAX, say.TAX_OF)):
        if any(q.about == about for q in asked):
            yield said
