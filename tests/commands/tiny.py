"""A tiny world of its own: a stub and a ring on each side, three sizes of stub, two of ring, a ring of unknown size."""

from __future__ import annotations

from pathlib import Path

TABLES = {
    "sources.csv": """
source,title,standing
drawings,drawings of the bench,drawing
adverts,what sellers say,seller
""",
    "parts.csv": """
part,name,part type,hand,one use,source
STUB-A,small stub,outer joint,either,no,drawings
STUB-B,big stub,outer joint,either,no,drawings
STUB-C,odd stub,outer joint,either,no,drawings
RING-A,small ring,wheel bearing,either,no,drawings
RING-B,big ring,wheel bearing,either,no,drawings
RING-X,ring as advertised,wheel bearing,either,no,adverts
""",
    "layouts.csv": """
layout,title
bench,two stubs on a bench
""",
    "positions.csv": """
layout,position,level,part type,quantity,need,group,order
bench,stub,corner,outer joint,1,needed,stubs,10
bench,ring,corner,wheel bearing,1,needed,rings,20
""",
    "joints.csv": """
layout,joint,position,feature,other position,other feature,rule,reached,other reached
bench,ring on stub,ring,bearing,stub,journal,bearing on journal,corner apart,on the vehicle
""",
    "vehicles.csv": """
vehicle,title,layout,as made
bench-1,the bench as made,bench,yes
""",
    "fittings.csv": """
vehicle,position,part,condition
bench-1,stub,STUB-A,sound
bench-1,ring,RING-A,sound
""",
    "suppliers.csv": """
supplier,title,postage
Harl & Son,,5
""",
    "offers.csv": """
supplier,part,price
Harl & Son,STUB-B,20
Harl & Son,RING-B,7.50
""",
    "kits.csv": """
kit,title,is,supplier,price,not itemised,per
big,the big conversion,kit,Harl & Son,40,,axle
half,half of it,kit,Harl & Son,30,,axle
""",
    "kit_lines.csv": """
kit,part,quantity
big,STUB-B,2
big,RING-B,2
half,STUB-B,2
half,RING-B,1
""",
    "features/journal.csv": """
part,feature,diameter,source
STUB-A,journal,25.40..25.41 mm,drawings
STUB-B,journal,28.575..28.585 mm,drawings
STUB-C,journal,30.00..30.01 mm,drawings
""",
    "features/rolling_bearing.csv": """
part,feature,type,bore,outside diameter,source
RING-A,bearing,ball,25.39..25.40 mm,52 mm,drawings
RING-B,bearing,ball,28.565..28.575 mm,62 mm,drawings
""",
}


def write_tiny(folder: Path, **changes: str) -> Path:
    """Write the tiny world into a folder; ``changes`` add lines to a table, named by its stem."""
    (folder / "features").mkdir(parents=True, exist_ok=True)
    for name, text in TABLES.items():
        more = changes.get(Path(name).stem, "")
        (folder / name).write_text(text.lstrip("\n") + more, encoding="utf-8")
    return folder
