"""A small world for the tests of single modules: a cart's axle with two hubs, sizes that agree and some that do not."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path

from knockon.graph.model.catalogue import Catalogue
from knockon.graph.model.layouts.layout import Place, Places
from knockon.graph.records import records_from_text
from knockon.queries.fits.checking.checks import Checks
from knockon.queries.plan.solving.planner import Filling, Planner
from knockon.queries.plan.solving.problem import Problem
from knockon.queries.plan.solving.request import read_request

TABLES = {
    "sources.csv": """\
source,title,standing,member
book,the maker's book,drawing,
stall,a market stall,seller,
survey,read on the cart,on the item,m1
N1,a note,worn,m2
""",
    "parts.csv": """\
part,name,part type,hand,one use,mirror of,drawn as,source
AXLE-20,axle 20,outer joint,either,no,,,book
AXLE-25,axle 25,outer joint,either,no,,,book
HUB-20L,hub 20,drive flange,left,no,HUB-20R,,book
HUB-20R,hub 20,drive flange,right,no,HUB-20L,HUB-20L,book
HUB-25L,hub 25,drive flange,left,no,HUB-25R,,book
HUB-25R,hub 25,drive flange,right,no,HUB-25L,HUB-25L,book
HUB-?,hub from a stall,drive flange,either,no,,,stall
CAP-1,cap,hub washer or collar,either,yes,,,book
STUD-1,stud,wheel stud,either,yes,,,book
PAIR-25,two hubs with caps,set,either,no,,,book
GREASE,grease,bearing grease,either,yes,,,book
""",
    "set_members.csv": """\
set,position,side,as part,quantity
PAIR-25,hub,left,HUB-25L,1
PAIR-25,hub,right,HUB-25R,1
PAIR-25,cap,left,CAP-1,1
PAIR-25,cap,right,CAP-1,1
""",
    "features/spigot.csv": "part,feature,diameter,source\nAXLE-20,seat,20 mm,book\nAXLE-25,seat,25 mm,book\n",
    "features/register_bore.csv": "part,feature,diameter,source\nHUB-20L,bore,20 mm,book\nHUB-25L,bore,25 mm,book\n",
    "claims.csv": """\
part,claim,vehicle,other part,text,source
CAP-1,listed for,cart,,,book
CAP-1,listed for,big-cart,,,book
STUD-1,listed for,cart,,,book
STUD-1,listed for,big-cart,,,book
""",
    "layouts.csv": "layout,title\ncart axle,a cart's axle\n",
    "positions.csv": """\
layout,position,level,part type,quantity,need,carried by,pressed in,group,order
cart axle,axle,vehicle,outer joint,1,needed,,no,axles,10
cart axle,hub,corner,drive flange,1,needed,axle,no,hubs,20
cart axle,stud,corner,wheel stud,4,needed,hub,yes,studs,30
cart axle,cap,corner,hub washer or collar,1,needed,hub,no,caps,40
""",
    "joints.csv": """\
layout,joint,position,feature,other position,other feature,rule,reached,other reached,owns
cart axle,hub on axle,hub,bore,axle,seat,register,corner apart,on the vehicle,cap
cart axle,stud in hub,stud,knurl,hub,holes,fitting place,,,
cart axle,cap on hub,cap,rim,hub,rim,fitting place,,,
""",
    "consumables.csv": "layout,part type,with position,quantity\ncart axle,bearing grease,hub,1\n",
    "vehicles.csv": "vehicle,title,layout,as made,made as,like\ncart,a cart as made,cart axle,yes,,\n"
    "big-cart,a big cart as made,cart axle,yes,,cart\n"
    "my-cart,mine as found,cart axle,no,cart,cart\n",
    "items.csv": "item,part,title,after work on,work,source\nodd-axle,AXLE-20,my axle,,,survey\n",
    "fittings.csv": """\
vehicle,position,side,part,item,condition
cart,axle,,AXLE-20,,sound
cart,hub,left,HUB-20L,,sound
cart,hub,right,HUB-20R,,sound
cart,stud,,STUD-1,,sound
cart,cap,,CAP-1,,sound
big-cart,axle,,AXLE-25,,sound
big-cart,hub,left,HUB-25L,,sound
big-cart,hub,right,HUB-25R,,sound
my-cart,axle,,,odd-axle,unknown
""",
    "suppliers.csv": "supplier,title,postage\nMill,a mill,4\nForge,a forge,9\n",
    "offers.csv": """\
supplier,part,price,exchange surcharge
Mill,AXLE-25,30,
Forge,AXLE-25,28,5
Mill,PAIR-25,70,
Mill,HUB-25L,40,
Mill,HUB-25R,40,
Forge,CAP-1,0.50,
Mill,STUD-1,1.10,
""",
    "kits.csv": "kit,title,is,supplier,price,not itemised,per\nbox,a box of bits,kit,Mill,60,fixings,axle\n",
    "kit_lines.csv": "kit,part,quantity\nbox,HUB-25L,1\nbox,HUB-25R,1\nbox,HUB-20L,1\n",
    "notes.csv": """\
note,date,member,text,parts,joint,outcome,source
N1,2020,m2,does not go on,HUB-20L;AXLE-25,hub on axle,failed,N1
""",
}
LEFT, RIGHT = Place("hub", "left"), Place("hub", "right")
AXLE = Place("axle")


def world(changed: Mapping[str, str] | None = None) -> Catalogue:
    """The catalogue, with some tables put in the place of the world's own; nothing may be set aside."""
    records = records_from_text({**TABLES, **(changed or {})})
    assert not [f for f in records.findings if f.set_aside], records.findings
    return records.catalogue


def with_rows(table: str, *rows: str) -> dict[str, str]:
    """A table with rows added."""
    return {table: TABLES[table] + "".join(row + "\n" for row in rows)}


def problem(catalogue: Catalogue, *want: str, vehicle: str = "cart", keep: tuple[str, ...] = ()) -> Problem:
    """What is wanted of a vehicle, as a planning problem."""
    places = Places(catalogue.layouts["cart axle"])
    request = read_request(catalogue, places, want=want, keep=keep)
    return Problem(Checks(catalogue, places), catalogue.vehicles[vehicle], request)


def planned(of: Problem) -> tuple[Planner, Filling]:
    """A planner and its best filling."""
    planner = Planner(of)
    filling = planner.best()
    assert filling is not None
    return planner, filling


def folder_of(root: Path) -> Path:
    """The small world's tables as files."""
    for name, text in TABLES.items():
        path = root / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(text, encoding="utf-8")
    return root
