"""The block of figures that swap and kit print beside a plan."""

from __future__ import annotations

from pathlib import Path

from tests.commands.running import FULL, demo, full

KIT = ("kit", "K2", "--for", "tansy-m080", "--want", "rotor=LARCH-201", "--full")


def block(question: tuple[str, ...]) -> list[str]:
    """The lines of the block, from its heading to the next one."""
    lines = demo(*question).out.splitlines()
    start = lines.index("FIGURES OF THE PLAN")
    end = next(i for i, line in enumerate(lines[start + 1 :], start + 1) if line and line.upper() == line)
    return lines[start:end]


def test_swap_tells_before_and_after_what_is_missing_and_what_was_assumed() -> None:
    lines = block(FULL)
    text = " ".join(" ".join(lines).split())
    assert max(map(len, lines)) <= 100
    assert "front share of braking: 70.9 % (+1.8 points). As made 69.1 %." in text
    assert "master's stroke used: not known, measure HAZEL-201, bore: stroke. As made" in text
    assert "track change: 6.4 mm (0.252 in)" in text
    assert (
        "Would run the whole way, loose, on 49 % of the flanks' height: lower pin nut on pin (ALDER-339 with THORN-131)"
        in text
    )
    assert "Assumed, because it is not recorded: caliper, pistons: travel 0.5 mm" in text
    assert "Sizes without limits count as exact here." in text
    assert "They never say that a vehicle brakes, steers or holds safely" in text
    assert "Nm" not in text and "lbf ft" not in text  # figures, no tightening torques


def test_of_a_pair_that_does_not_go_in_no_bare_number_is_told() -> None:
    text = " ".join(" ".join(block(FULL)).split())
    assert "ROWAN-201 with ROWAN-141" not in text and "Tooth overlap" not in text
    assert "Would drop through: the teeth do not touch: flange on stub (ROWAN-101 with ROWAN-241)" in text
    meetings = full(demo(*FULL, "--json").out)["result"]["meetings"]
    told = {(m["figure"], m["about"]): m["holds"] for m in meetings}
    assert told[("tooth overlap", "flange on stub: ROWAN-201 with ROWAN-141")] is False
    assert told[("tooth depth of the female", "flange on stub: ROWAN-201 with ROWAN-141")] is True


def test_kit_tells_the_figures_of_its_own_plan() -> None:
    lines = block(KIT)
    text = " ".join(" ".join(lines).split())
    assert max(map(len, lines)) <= 100
    assert "front share of braking: not known, measure LARCH-903 (left caliper)" in text
    assert "and the same on the other side" in text
    assert "Would start and bind after 0.2 of a turn: rotor screw in flange (LARCH-902 with ROWAN-241)" in text


def test_every_told_number_carries_its_evidence_in_the_document() -> None:
    for question in (FULL, KIT):
        result = full(demo(*question, "--json").out)["result"]
        assert result["figures"] and result["meetings"]
        for told in (*result["figures"], *result["meetings"]):
            assert told["rests_on"]
            assert told["planned"] is not None or told["to_measure"]
            assert told["values"] or told["planned"] is None or told["figure"] == "track change"
            assert all(value["source"] and value["standing"] for value in told["values"])


def test_the_page_of_figures_shows_what_is_printed() -> None:
    page = (Path(__file__).parents[2] / "docs" / "calculations" / "figures.md").read_text(encoding="utf-8")
    shown = page.partition("FIGURES OF THE PLAN\n")[2].partition("```")[0].splitlines()
    text = " ".join(" ".join(block(FULL)).split())
    assert len(shown) >= 4
    for line in shown:
        assert " ".join(line.removesuffix("...").split()) in text
