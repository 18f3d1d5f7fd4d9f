"""How long three orders take at size, each proven: markets of many lines, suppliers and kits, made up from a seed.

``python tests/bench/bench_orders.py [--size LINES SUPPLIERS KITS]``; without numbers the sizes of the table in docs.
"""

from __future__ import annotations

import argparse
import random
import tempfile
import time
from pathlib import Path

from knockon.graph.records import load
from knockon.queries.buy.order import order
from knockon.queries.plan.solving.patience import Patience

SIZES = ((10, 5, 5), (20, 10, 20), (40, 20, 50))
KINDS = ("rotor", "caliper", "wheel nut", "wheel bearing", "drive flange", "outer joint", "hub nut", "pads")


def write(folder: Path, lines: int, suppliers: int, kits: int, seed: int = 1) -> None:
    """A cart on which all is due, each line to be filled by one of two numbers, and a market of them."""
    choose = random.Random(seed)
    numbers = [[f"P{line:02}-{n}" for n in (1, 2)] for line in range(lines)]
    quantity = [choose.choice((1, 2, 2, 4, 8)) for _ in range(lines)]
    names = [f"supplier {n:02}" for n in range(suppliers)]
    price = {n: choose.randint(50, 9000) for own in numbers for n in own}
    rows: dict[str, list[str]] = {
        "sources": ["source,title,standing", "book,a book,drawing"],
        "parts": ["part,name,part type,hand,one use,source,weight kg"],
        "layouts": ["layout,title", "cart,a cart"],
        "positions": ["layout,position,level,part type,quantity,need,group,order"],
        "vehicles": ["vehicle,title,layout,as made", "mine,mine,cart,no"],
        "fittings": ["vehicle,position,part,condition"],
        "suppliers": ["supplier,postage,free over,smallest order,prices,tax"],
        "postage_steps": ["supplier,up to kg,postage"],
        "offers": ["supplier,part,price,exchange surcharge,pack size,stock"],
        "kits": ["kit,is,supplier,price"],
        "kit_lines": ["kit,part,quantity"],
        "set_members": ["set,position,side,as part,quantity"],
    }
    for line, own in enumerate(numbers):
        kind = "set"  # members of sets stand where they are named, whatever their part type
        rows["positions"].append(
            f"cart,line {line},vehicle,{KINDS[line % len(KINDS)]},{quantity[line]},needed,g,{line}"
        )
        rows["fittings"].append(f"mine,line {line},,due")
        for n in own:
            rows["parts"].append(f"{n},{n},{kind},either,no,book,{choose.choice(('', '0.2', '1.5', '4'))}")
            rows["set_members"].append(f"{n},line {line},,,1")
    for name in names:
        stepped, net = choose.random() < 0.3, choose.random() < 0.5
        postage = "" if stepped else str(choose.randint(3, 15))
        free = choose.choice(("", "", "80", "150"))
        least = choose.choice(("", "", "", "20"))
        rows["suppliers"].append(f"{name},{postage},{free},{least},{'net,20' if net else 'gross,'}")
        if stepped:
            rows["postage_steps"] += [f"{name},{kilos},{3 + 2 * n}" for n, kilos in enumerate((2, 5, 20))]
    for own in numbers:
        for n in own:
            for name in choose.sample(names, max(1, suppliers * 2 // 5)):
                pack = choose.choice((1, 1, 1, 2, 4))
                cents = round(price[n] * pack * choose.uniform(0.85, 1.2))
                surcharge = choose.choice(("", "", "", "12"))
                rows["offers"].append(f"{name},{n},{cents / 100:.2f},{surcharge},{pack},{choose.choice(('', '', '3'))}")
    for kit in range(kits):
        held = choose.sample(range(lines), min(lines, choose.randint(2, 12)))
        inside = [(choose.choice(numbers[line]), choose.randint(1, quantity[line])) for line in held]
        cents = round(sum(price[n] * q for n, q in inside) * choose.uniform(0.7, 1.05))
        rows["kits"].append(f"kit {kit:02},kit,{choose.choice(names)},{cents / 100:.2f}")
        rows["kit_lines"] += [f"kit {kit:02},{n},{q}" for n, q in inside]
    for table, found in rows.items():
        (folder / f"{table}.csv").write_text("\n".join(found) + "\n", encoding="utf-8")


def main() -> None:
    """Print a line a size and seed."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--size", type=int, nargs=3, metavar=("LINES", "SUPPLIERS", "KITS"))
    asked = parser.parse_args().size
    sizes = (tuple(asked),) if asked else SIZES
    print("lines suppliers kits seed   s wall   s cpu   proven  total")
    for lines, suppliers, kits in sizes:
        for seed in (1, 2, 3):
            with tempfile.TemporaryDirectory() as name:
                write(Path(name), lines, suppliers, kits, seed)
                catalogue = load(Path(name)).catalogue
            began, cpu = time.perf_counter(), time.process_time()
            answer = order(catalogue, "mine", patience=Patience(120.0))
            took = time.perf_counter() - began, time.process_time() - cpu
            proven = " ".join("yes" if o.optimal else f"no({o.gap})" for o in answer.orders)
            told = f"{took[0]:8.1f} {took[1]:7.1f}   {proven}"
            print(
                f"{lines:5} {suppliers:9} {kits:4} {seed:4} {told}  {' '.join(o.total for o in answer.orders)}",
                flush=True,
            )


if __name__ == "__main__":
    main()
