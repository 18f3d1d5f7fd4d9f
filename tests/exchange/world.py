"""A small world of one layout for these tests: a spacer and a bearing that meet in one figure and one joint."""

from pathlib import Path

TABLES = {
    "sources.csv": """source,title,standing,member,date
drawings,Drawings,drawing,,
N1,Note 1,worn,m1,2011
N2,Note 2,worn,m2,2012
""",
    "parts.csv": """part,name,part type,hand,one use,source
S-1,spacer,bearing spacer,either,no,drawings
S-2,spacer,bearing spacer,either,no,drawings
J-1,joint,outer joint,either,no,drawings
F-1,flange,drive flange,either,no,drawings
F-2,flange,drive flange,either,no,drawings
""",
    "layouts.csv": "layout,title\naxle,An axle\n",
    "arrangements.csv": "layout,arrangement,title\naxle,only,The only one\n",
    "positions.csv": """layout,position,level,part type,quantity,need,group,order
axle,outer joint,corner,outer joint,1,needed,outer joint,1
axle,drive flange,corner,drive flange,1,needed,drive flange,2
axle,bearing spacer,corner,bearing spacer,1,optional,bearing spacer,3
""",
    "joints.csv": """layout,joint,position,feature,other position,other feature,rule
axle,flange on stub,outer joint,stub spline,drive flange,spline,spline
""",
    "vehicles.csv": "vehicle,title,layout,arrangement,as made,source\nvan,The van,axle,only,yes,drawings\n",
    "fittings.csv": """vehicle,position,side,part
van,outer joint,,J-1
van,drive flange,,F-1
van,bearing spacer,,S-1
""",
    "notes.csv": """note,date,member,vehicle,text,parts,joint,outcome,source
N1,2011,m1,van,went on,J-1;F-2,flange on stub,worked,N1
N2,2012,m2,van,stripped,J-1;F-2,flange on stub,failed,N2
""",
    "features/spacer.csv": """part,feature,length,source
S-1,spacer,12.6 mm,N1
S-2,spacer,12.6 mm,drawings
""",
    "features/external_spline.csv": """part,feature,teeth,pitch,source
J-1,stub spline,25,24/48,drawings
""",
    "features/internal_spline.csv": """part,feature,teeth,pitch,source
F-1,spline,25,24/48,drawings
""",
}


def write_world(folder: Path, **changed: str) -> Path:
    """Write the world; ``changed`` replaces a table, named without ``.csv`` (``features__spacer`` a kind's)."""
    tables = TABLES | {name.replace("__", "/") + ".csv": text for name, text in changed.items()}
    for name, text in tables.items():
        path = folder / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(text, encoding="utf-8")
    return folder
