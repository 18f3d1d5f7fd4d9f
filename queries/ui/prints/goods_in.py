"""The goods-in card as a page to print: A4, black and white, with boxes to tick and lines for readings."""

from __future__ import annotations

from knockon.graph.model.catalogue import Catalogue
from knockon.queries.job.goods_in import GoodsIn, GoodsLine
from knockon.queries.ui.goods_in_words import bench_said, beside, to_measure
from knockon.queries.ui.naming import Naming
from knockon.queries.ui.prints.typeset import typeset
from knockon.queries.ui.sentences import goods_in as say
from knockon.queries.ui.sentences import job, prints


def goods_in_page(catalogue: Catalogue, card: GoodsIn) -> bytes:
    """The card as a PDF."""
    naming = Naming.on(catalogue, card.vehicle)
    data: dict[str, object] = {
        "title": say.TITLE.format(vehicle=card.title or card.vehicle),
        "beside": job.PLAN_NAMED.format(name=card.plan),
        "page_of": prints.PAGE,
        "by": job.BY,
        "on": job.DATE,
        "how_to_use": say.HOW_TO_USE.splitlines(),
        "read_first": prints.CAUTIONS,
        "cautions": card.cautions,
        "parcels": [
            {"heading": say.PARCEL.format(supplier=p.supplier), "lines": [_line(naming, x) for x in p.lines]}
            for p in card.parcels
        ],
        "bench_heading": say.BENCH,
        "before_stripping": say.BEFORE_STRIPPING,
        "bench": [bench_said(naming, check) for check in card.bench],
    }
    return typeset("goods_in", data)


def _line(naming: Naming, line: GoodsLine) -> dict[str, object]:
    return {
        "name": say.COUNTED.format(quantity=line.line.ordered, part=naming.part(line.line.part)),
        "done": line.line.accepted == line.line.ordered,
        "beside": list(beside(line)),
        "sizes": [{"said": said, "unit": unit or " "} for said, unit in to_measure(line)],
    }
