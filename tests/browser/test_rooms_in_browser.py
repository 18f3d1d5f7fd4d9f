"""Each room in a real browser, light on a phone and dark on a desk: no hindrance, no error, nothing fetched from
elsewhere, nothing wider than the window."""

from __future__ import annotations

from typing import Any

import pytest

from tests.browser.conftest import DESK, PHONE, Visitor
from tests.page.conftest import Served

ROOMS = (
    "/",
    "/swap/tansy-m080?want=rotor%3DLARCH-201",
    "/swap/tansy-m080?want=brake%3Ddisc&side-by-side=on",
    "/swap/tansy-m080?want=drive+flange%3DROWAN-942&keep=outer+joint",
    "/swap/tansy-m080/measure?want=rotor%3DLARCH-201",
    "/swap/tansy-m080/measure?want=rotor%3DLARCH-201&at=3",
    "/swap/tansy-m080/order?want=rotor%3DLARCH-201",
    "/swap/tansy-m080/job?want=rotor%3DLARCH-201",
    "/vehicle/tansy-m080",
    "/part/LARCH-201",
    "/part/NOBODY-1",
    "/partners/ROWAN-241",
    "/fits?parts=ROWAN-301%0AROWAN-241",
    "/fits",
    "/tell-apart?one=ROWAN-201&other=ROWAN-901",
    "/identify?readings=external+spline%3A+teeth%3D25",
    "/kit?kit=K2&for=tansy-m080&want=rotor%3DLARCH-201",
    "/needs/tansy-m080/hub%20nut?want=rotor%3DLARCH-201",
    "/list/parts",
    "/notes",
    "/disputes",
    "/words",
    "/look",
    "/sheets",
    "/club",
    "/check",
    "/combinations/tansy-front-axle?with=rotor%3DLARCH-201&first=1",
    "/partners/ROWAN-241?along=flange+on+stub",
    "/fits?parts=ROWAN-201&on=all",
    "/vehicle/tansy-mk-b",
    "/search?words=hub",
    "/calculate",
    "/calculate/thread?designation=M10x1",
    "/nowhere",
)
RULES = {"runOnly": ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"]}


@pytest.mark.parametrize(("size", "dark"), [(PHONE, False), (DESK, True)], ids=["phone, light", "desk, dark"])
def test_no_room_hinders(
    chromium: Any, axe: str, demo_page: Served, size: tuple[int, int], dark: bool
) -> None:  # one window for all rooms: to start anew for each would take minutes
    visitor = Visitor(chromium, demo_page, size, dark=dark)
    wrong: list[str] = []
    for room in ROOMS:
        visitor.go(room)
        for opened in (False, True):
            if opened:
                visitor.window.evaluate("document.querySelectorAll('details').forEach(d => d.open = true)")
            visitor.window.evaluate(axe)
            found = visitor.window.evaluate("rules => axe.run(document, rules)", RULES)
            for one in found["violations"]:
                nodes = [n["html"][:160] for n in one["nodes"][:2]]
                wrong.append(f"{room}: {one['id']}: {one['help']}: {len(one['nodes'])} of {nodes}")
            wide = visitor.window.evaluate("document.documentElement.scrollWidth")
            if wide > size[0]:
                wrong.append(f"{room}: {wide} px wide in a window of {size[0]}")
        small = visitor.window.evaluate(SMALL)
        wrong += [f"{room}: small: {one}" for one in small]
    visitor.close()
    assert not wrong, "\n".join(dict.fromkeys(wrong))


TOUCHED = "button, summary, select, input:not([type=hidden]):not([type=checkbox]), a.go, nav a"
SMALL = f"""() => [...document.querySelectorAll("{TOUCHED}")]
  .filter(e => e.checkVisibility() && e.getBoundingClientRect().height < 43.5).map(e => e.outerHTML.slice(0, 120))"""
"""What is to be touched is 44 px high."""
