"""Records of a bicycle's bottom bracket: another trade, with a layout of its own that nobody ships.

The thread 1.370 in x 24 TPI, left-handed on the chain side, is that of ISO 6696, from memory. So is 35 mm x 1 mm of
older frames. Everything else is made up for these tests. The words of no vehicle stand here.
"""

from __future__ import annotations

TYPES = """
@prefix club: <https://knockon.example/club/cycles#> . @prefix skos: <http://www.w3.org/2004/02/skos/core#> .
club:type-frame a skos:Concept ; skos:prefLabel "frame"@en .
club:type-right-cup a skos:Concept ; skos:prefLabel "right cup"@en ; skos:altLabel "fixed cup"@en, "chain side cup"@en .
club:type-left-cup a skos:Concept ; skos:prefLabel "left cup"@en ; skos:altLabel "adjustable cup"@en .
club:type-lock-ring a skos:Concept ; skos:prefLabel "lock ring"@en ; skos:altLabel "cup lock ring"@en .
club:type-spindle a skos:Concept ; skos:prefLabel "crank spindle"@en ; skos:altLabel "bottom bracket axle"@en .
club:type-crank a skos:Concept ; skos:prefLabel "crank"@en ; skos:altLabel "crank arm"@en .
"""
TABLES = {
    "types.ttl": TYPES,
    "sources.csv": "source,standing,title\nbook,drawing,a made-up book\n",
    "parts.csv": "part,name,part type,hand,one use,source\n"
    + "".join(
        f"{number},{part_type},{part_type},either,no,book\n"
        for number, part_type in (
            ("FR-68", "frame"), ("FR-35", "frame"), ("RC-15", "right cup"), ("RC-17", "right cup"),
            ("RC-17-RH", "right cup"), ("LC-15", "left cup"), ("LC-17", "left cup"), ("LC-17-?", "left cup"),
            ("LR-1", "lock ring"), ("SP-15", "crank spindle"), ("SP-17", "crank spindle"), ("CR-12", "crank"),
            ("CR-13", "crank"),
        )
    ),
    "layouts.csv": "layout,title\nbottom bracket,the bottom bracket of a bicycle\n",
    "positions.csv": "layout,position,level,part type,quantity,need,carried by,pressed in,group,order\n"
    "bottom bracket,frame,vehicle,frame,1,needed,,no,frames,10\n"
    "bottom bracket,right cup,vehicle,right cup,1,needed,frame,no,right cups,20\n"
    "bottom bracket,left cup,vehicle,left cup,1,needed,frame,no,left cups,30\n"
    "bottom bracket,lock ring,vehicle,lock ring,1,needed,left cup,no,lock rings,40\n"
    "bottom bracket,crank spindle,vehicle,crank spindle,1,needed,,no,spindles,50\n"
    "bottom bracket,right crank,vehicle,crank,1,needed,crank spindle,no,cranks,60\n",
    "joints.csv": "layout,joint,position,feature,other position,other feature,rule,reached,other reached\n"
    "bottom bracket,right cup in frame,right cup,thread,frame,right thread,screw in thread,corner apart,corner apart\n"
    "bottom bracket,left cup in frame,left cup,thread,frame,left thread,screw in thread,hub nut off,corner apart\n"
    "bottom bracket,lock ring on left cup,left cup,thread,lock ring,nut,nut on thread,on the vehicle,on the vehicle\n"
    "bottom bracket,right cup on spindle,right cup,ring,crank spindle,right journal,bearing on journal,corner apart,"
    "corner apart\n"
    "bottom bracket,left cup on spindle,left cup,ring,crank spindle,left journal,bearing on journal,corner apart,"
    "corner apart\n"
    "bottom bracket,crank on spindle,crank spindle,square,right crank,square hole,taper,hub nut off,hub nut off\n",
    "layout_words.csv": "layout,word,says\nbottom bracket,machine,bicycle\nbottom bracket,danger,DO NOT RIDE\n"
    "bottom bracket,hub nut off,cranks off\nbottom bracket,corner apart,bracket apart\n",
    "vehicles.csv": "vehicle,title,layout,as made,source\ntourer,a touring bicycle,bottom bracket,no,book\n",
    "fittings.csv": "vehicle,position,part,condition\n"
    "tourer,frame,FR-68,sound\ntourer,right cup,RC-15,sound\ntourer,left cup,LC-15,sound\ntourer,lock ring,LR-1,sound\n"
    "tourer,crank spindle,SP-15,sound\ntourer,right crank,CR-12,sound\n",
    "features/internal_thread.csv": "part,feature,thread,count,source\n"
    "FR-68,right thread,1.370 in x 24 TPI LH,1,book\nFR-68,left thread,1.370 in x 24 TPI RH,1,book\n"
    "FR-35,right thread,M35x1 RH,1,book\nFR-35,left thread,M35x1 RH,1,book\n",
    "features/external_thread.csv": "part,feature,thread,source\n"
    "RC-15,thread,1.370 in x 24 TPI LH,book\nRC-17,thread,1.370 in x 24 TPI LH,book\n"
    "RC-17-RH,thread,1.370 in x 24 TPI RH,book\n"
    "LC-15,thread,1.370 in x 24 TPI RH,book\nLC-17,thread,1.370 in x 24 TPI RH,book\n"
    "LC-17-?,thread,1.370 in x 24 TPI RH,book\n",
    "features/nut.csv": "part,feature,thread,source\nLR-1,nut,1.370 in x 24 TPI RH,book\n",
    "features/rolling_bearing.csv": "part,feature,bore,source\n"
    "RC-15,ring,15 mm,book\nLC-15,ring,15 mm,book\nRC-17,ring,17 mm,book\n"
    "RC-17-RH,ring,17 mm,book\nLC-17,ring,17 mm,book\n",
    "features/journal.csv": "part,feature,diameter,source\n"
    "SP-15,right journal,15 mm,book\nSP-15,left journal,15 mm,book\n"
    "SP-17,right journal,17 mm,book\nSP-17,left journal,17 mm,book\n",
    "features/taper_pin.csv": "part,feature,ratio,gauge diameter,source\n"
    "SP-15,square,1:14,12.3 mm,book\nSP-17,square,1:14,13.2 mm,book\n",
    "features/taper_bore.csv": "part,feature,ratio,gauge diameter,source\n"
    "CR-12,square hole,1:14,12.3 mm,book\nCR-13,square hole,1:14,13.2 mm,book\n",
    "kits.csv": "kit,title,is,supplier,price,source\nbracket,bracket set,kit,,60,book\n",
    "kit_lines.csv": "kit,part,quantity\nbracket,SP-17,1\nbracket,RC-17-RH,1\nbracket,LC-17,1\n",
}  # fmt: skip
