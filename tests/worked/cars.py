"""Records of three small vehicles on ready-made layouts, made up for these tests: no number, spline, thread or bearing
of theirs is one of the demo's. Sizes are round and say nothing of a real vehicle."""

from __future__ import annotations

SOURCES = "source,standing,title\nbook,drawing,a made-up book\n"
HEAD = "part,name,part type,hand,one use,source\n"
VEHICLES = "vehicle,title,layout,arrangement,as made,source\n"
FITTED = "vehicle,position,side,part,condition\n"
SPLINE = "part,feature,teeth,pitch,pressure angle,form"


def parts(*rows: str) -> str:
    """parts.csv from ``number,part type``: either hand, not one-use."""
    return HEAD + "".join(f"{n},{t},{t},either,no,book\n" for n, t in (r.split(",") for r in rows))


def fitted(vehicle: str, *rows: str) -> str:
    """fittings.csv from ``position,number``: sound, on both sides."""
    return FITTED + "".join(f"{vehicle},{p},,{n},sound\n" for p, n in (r.split(",") for r in rows))


HATCH = {
    "sources.csv": SOURCES,
    "layout_uses.csv": "layout,uses,as,without\n"
    "hatch,driven front corner,,pair with spacer;shimmed ball pin;drum\nhatch,hydraulics,,\n",
    "parts.csv": parts(
        "HK-1,knuckle", "CB-35,cartridge bearing", "CB-37,cartridge bearing", "CB-37-?,cartridge bearing",
        "OJ-23,outer joint", "OJ-28,outer joint", "DF-23,drive flange", "DF-28,drive flange", "HN-22,hub nut",
        "HN-24,hub nut", "HN-24-FINE,hub nut", "RO-98,rotor", "RO-108,rotor", "WS-1,wheel stud",
    ),
    "vehicles.csv": VEHICLES + "hatch-1,a hatchback,hatch,,no,book\n",
    "fittings.csv": fitted(
        "hatch-1", "knuckle,HK-1", "cartridge bearing,CB-35", "outer joint,OJ-23", "drive flange,DF-23",
        "hub nut,HN-22", "rotor,RO-98", "wheel stud,WS-1",
    ),
    "features/bearing_seat.csv": "part,feature,diameter,source\nHK-1,bearing bores,72 mm,book\n",
    "features/rolling_bearing.csv": "part,feature,type,bore,outside diameter,source\n"
    "CB-35,bearing,ball,35 mm,72 mm,book\nCB-37,bearing,ball,37 mm,72 mm,book\nCB-37-?,bearing,ball,37 mm,,book\n",
    "features/journal.csv": "part,feature,diameter,source\nOJ-23,journal,35 mm,book\nOJ-28,journal,37 mm,book\n",
    "features/external_spline.csv": f"{SPLINE},major diameter,source\n"
    "OJ-23,stub spline,23,module 1.0,30 deg,involute flat root,24 mm,book\n"
    "OJ-28,stub spline,28,module 1.0,30 deg,involute flat root,29 mm,book\n",
    "features/internal_spline.csv": f"{SPLINE},minor diameter,major diameter,source\n"
    "DF-23,flange spline,23,module 1.0,30 deg,involute flat root,22 mm,24.4 mm,book\n"
    "DF-28,flange spline,28,module 1.0,30 deg,involute flat root,27 mm,29.4 mm,book\n",
    "features/stub_end.csv": "part,feature,thread,source\nOJ-23,stub end,M22x1.5,book\nOJ-28,stub end,M24x1.5,book\n",
    "features/nut.csv": "part,feature,thread,source\n"
    "HN-22,nut,M22x1.5,book\nHN-24,nut,M24x1.5,book\nHN-24-FINE,nut,M24x1,book\n",
    "features/bolt_circle.csv": "part,feature,count,pitch circle diameter,source\n"
    "RO-98,bolt circle,4,98 mm,book\nDF-23,rotor circle,4,98 mm,book\n"
    "RO-108,bolt circle,4,108 mm,book\nDF-28,rotor circle,4,108 mm,book\n",
    "features/stud.csv": "part,feature,thread,knurl diameter,source\nWS-1,stud,M14x1.5,14.3 mm,book\n",
    "features/stud_hole.csv": "part,feature,diameter,source\nDF-23,stud holes,14.2 mm,book\n"
    "DF-28,stud holes,14.2 mm,book\n",
    "kits.csv": "kit,title,is,supplier,price,per,source\nbig-disc,big disc kit,kit,,300,axle,book\n",
    "kit_lines.csv": "kit,part,quantity\nbig-disc,RO-108,2\nbig-disc,DF-28,2\nbig-disc,OJ-28,2\nbig-disc,CB-37,1\n"
    "big-disc,HN-24,2\nbig-disc,WS-1,8\n",
}  # fmt: skip

SALOON = {
    "sources.csv": SOURCES,
    "layout_uses.csv": "layout,uses,as,without\nsaloon,undriven front corner,,cartridge;ball joint\n",
    "parts.csv": parts(
        "SK-1,knuckle", "TB-30,wheel bearing", "TB-30-65,wheel bearing", "TB-17,wheel bearing",
        "SH-95,hub", "SH-105,hub", "SH-105-?,hub", "SR-95,rotor", "SR-105,rotor", "SN-16,hub nut", "SN-16-FINE,hub nut",
        "SL-45,hub seal", "SL-45-65,hub seal", "SC-1,caliper", "SG-1,grease cap",
    ),
    "vehicles.csv": VEHICLES + "saloon-1,a saloon,saloon,disc,no,book\n",
    "fittings.csv": fitted(
        "saloon-1", "knuckle,SK-1", "inner bearing,TB-30", "outer bearing,TB-17", "hub,SH-95", "rotor,SR-95",
        "hub nut,SN-16", "hub seal,SL-45", "caliper,SC-1", "grease cap,SG-1",
    ),
    "features/journal.csv": "part,feature,diameter,source\nSK-1,inner journal,30 mm,book\n"
    "SK-1,outer journal,17 mm,book\n",
    "features/rolling_bearing.csv": "part,feature,type,bore,outside diameter,source\n"
    "TB-30,bearing,taper,30 mm,62 mm,book\nTB-30-65,bearing,taper,30 mm,65 mm,book\n"
    "TB-17,bearing,taper,17 mm,40 mm,book\n",
    "features/bearing_seat.csv": "part,feature,diameter,source\n"
    + "".join(
        f"{hub},inner bearing bore,{inner},book\n{hub},outer bearing bore,40 mm,book\n{hub},seal bore,{inner},book\n"
        for hub, inner in (("SH-95", "62 mm"), ("SH-105", "65 mm"))
    ) + "SH-105-?,outer bearing bore,40 mm,book\n",
    "features/lip_seal.csv": "part,feature,inside diameter,outside diameter,source\nSL-45,seal,45 mm,62 mm,book\n"
    "SL-45-65,seal,45 mm,65 mm,book\n",
    "features/seal_land.csv": "part,feature,diameter,source\nSK-1,seal land,45 mm,book\n",
    "features/stub_end.csv": "part,feature,thread,source\nSK-1,stub end,M16x1.5,book\n",
    "features/nut.csv": "part,feature,thread,source\nSN-16,nut,M16x1.5,book\nSN-16-FINE,nut,M16x1,book\n",
    "features/bolt_circle.csv": "part,feature,count,pitch circle diameter,source\nSR-95,bolt circle,5,95 mm,book\n"
    "SH-95,rotor circle,5,95 mm,book\nSR-105,bolt circle,5,105 mm,book\nSH-105,rotor circle,5,105 mm,book\n"
    "SH-105-?,rotor circle,5,105 mm,book\n",
    "kits.csv": "kit,title,is,supplier,price,per,source\nfront-disc,disc and hub kit,kit,,200,axle,book\n",
    "kit_lines.csv": "kit,part,quantity\nfront-disc,SR-105,2\nfront-disc,SH-105,2\nfront-disc,TB-30-65,2\n"
    "front-disc,SN-16-FINE,2\n",
}  # fmt: skip

ESTATE = {
    "sources.csv": SOURCES,
    "layout_uses.csv": "layout,uses,as,without\nestate,rear corner,rear,cartridge;disc\nestate,hydraulics,,\n",
    "parts.csv": parts(
        "EA-1,stub axle", "EH-1,hub", "ED-203,rear drum", "ED-229,rear drum", "ES-203,rear shoes", "ES-229,rear shoes",
        "EW-19,rear wheel cylinder", "EW-22,rear wheel cylinder", "EW-?,rear wheel cylinder", "EB-1,backplate",
        "EB-2,backplate", "EL-1,handbrake lever", "EL-2,handbrake lever", "EC-1,handbrake cable", "EH-2,rear hose",
        "EH-2-COARSE,rear hose", "EM-1,master cylinder",
    ),
    "vehicles.csv": VEHICLES + "estate-1,an estate car,estate,,no,book\n",
    "fittings.csv": fitted(
        "estate-1", "rear stub axle,EA-1", "rear hub,EH-1", "rear drum,ED-203", "rear shoes,ES-203", "rear hose,EH-2",
        "rear wheel cylinder,EW-19", "rear backplate,EB-1", "rear handbrake lever,EL-1", "master cylinder,EM-1",
        "rear handbrake cable,EC-1",
    ),
    "features/register_bore.csv": "part,feature,diameter,source\n"
    "ED-203,register bore,60.05 mm,book\nED-229,register bore,60.05 mm,book\n",
    "features/spigot.csv": "part,feature,diameter,source\nEH-1,drum register,60 mm,book\n",
    "features/brake_drum.csv": "part,feature,diameter,source\nED-203,drum,203 mm,book\nED-229,drum,229 mm,book\n",
    "features/bolt_circle.csv": "part,feature,count,pitch circle diameter,source\n"
    "EA-1,backplate face,4,92 mm,book\nEB-1,bolt circle,4,92 mm,book\nEB-2,bolt circle,4,92 mm,book\n",
    "features/wheel_cylinder.csv": "part,feature,bore,pistons,source\n"
    "EW-19,cylinder,19 mm,2,book\nEW-22,cylinder,22 mm,2,book\n",
    "features/fitting_place.csv": "part,feature,pattern,source\n"
    "ED-203,drum track,203,book\nES-203,lining,203,book\nED-229,drum track,229,book\nES-229,lining,229,book\n"
    "ES-203,shoe rests,small,book\nEB-1,shoe rests,small,book\nES-229,shoe rests,large,book\n"
    "EB-2,shoe rests,large,book\n"
    "EW-19,body,small,book\nEB-1,cylinder seats,small,book\nEW-22,body,large,book\nEB-2,cylinder seats,large,book\n"
    "ES-203,lever hole,small,book\nEL-1,lever,small,book\nES-229,lever hole,large,book\nEL-2,lever,large,book\n"
    "EC-1,cable,clevis,book\nEL-1,cable end,clevis,book\nEL-2,cable end,clevis,book\n",
    "features/hydraulic_male_end.csv": "part,feature,thread,seat,source\n"
    "EH-2,wheel end,M11x1.25,flat,book\nEH-2-COARSE,wheel end,M11x1.5,flat,book\n",
    "features/hydraulic_female_end.csv": "part,feature,thread,seat,source\n"
    "EW-19,port,M11x1.25,flat,book\nEW-22,port,M11x1.25,flat,book\n",
    "kits.csv": "kit,title,is,supplier,price,per,source\nrear-drum,big drum kit,kit,,250,axle,book\n",
    "kit_lines.csv": "kit,part,quantity\nrear-drum,ED-229,2\nrear-drum,ES-229,2\nrear-drum,EB-2,2\nrear-drum,EW-22,2\n",
}  # fmt: skip
