"""Numbers as they are written, as exact fractions with what their spelling says about them."""

from __future__ import annotations

from fractions import Fraction

import msgspec

FRACTION_DENOMINATORS = frozenset({2, 4, 8, 16, 32, 64, 128})
"""What a workshop divides an inch by."""

_ENDING = "thndrsTHNDRS "
"""Letters of 15/16ths, 3/32nds, 1/3rd."""


class Amount(msgspec.Struct, frozen=True):
    """A number: its exact value, the worth of its last place, and how it was spelled.

    `vulgar`: written with a fraction stroke. `whole`: written without fraction or decimals.
    `comma`: written with a decimal comma. `fault`: why it cannot stand as a number, with `offer`
    the spelling that could. `flags`: what was needed to read it. `lost_blanks`: what it was if a
    blank was lost from it.
    """

    value: Fraction
    step: Fraction
    written: str
    vulgar: bool = False
    whole: bool = False
    comma: bool = False
    flags: tuple[str, ...] = ()
    fault: str = ""
    offer: str = ""
    lost_blanks: tuple[str, ...] = ()


def decimal_amount(text: str) -> Amount:
    """`25`, `25.40`, `.497`, `4.5E+04`."""
    digits, _, exponent = text.lower().partition("e")
    places = len(digits.partition(".")[2])
    scale = Fraction(10) ** int(exponent or 0)
    return Amount(
        value=Fraction(digits if digits[0] != "." else "0" + digits) * scale,
        step=Fraction(1, 10**places) * scale,
        written=text,
        whole=text.isdigit(),
    )


def comma_amount(text: str) -> Amount:
    """`27,52`: a decimal comma, which only some locales write."""
    amount = decimal_amount(text.replace(",", "."))
    return Amount(amount.value, amount.step, text, comma=True)


def grouped_amount(text: str, *, comma: bool) -> Amount:
    """`1,234.5`, or `1.234,5` where the comma is the decimal sign."""
    plain = text.replace(".", "").replace(",", ".") if comma else text.replace(",", "")
    amount = decimal_amount(plain)
    return Amount(amount.value, amount.step, text, comma=comma, flags=(f"read as {plain}",))


def fraction_amount(text: str) -> Amount:
    """`3/8`, `15/16ths`; a fraction over zero is a fault."""
    above, below = (int(part) for part in text.rstrip(_ENDING).split("/"))
    if below == 0:
        return Amount(Fraction(0), Fraction(1), text, vulgar=True, fault="a fraction over zero")
    if above == 0:
        return Amount(Fraction(0), Fraction(1), text, vulgar=True, fault="a fraction of nothing")
    torn = (f"read as {above}/{below}",) if any(c.isspace() for c in text) else ()
    return Amount(
        Fraction(above, below),
        Fraction(1, below),
        text,
        vulgar=True,
        flags=torn + _odd_denominator(above, below),
        lost_blanks=_lost_blanks(above, below),
    )


def _lost_blanks(above: int, below: int) -> tuple[str, ...]:
    """What an improper fraction was if it lost a blank: 11/8 may have been 1 1/8."""
    if above < below:
        return ()
    figures = str(above)
    cuts = ((figures[:n], figures[n:]) for n in range(1, len(figures)))
    return tuple(f"{whole} {rest}/{below}" for whole, rest in cuts if rest[0] != "0" and int(rest) < below)


def mixed_amount(text: str) -> Amount:
    """`1 1/16`, `1-1/16`, `1.1/8`, `1 & 1/16`: a whole number and a fraction below one."""
    head, _, below_text = text.rstrip(_ENDING).partition("/")
    torn = below_text != below_text.lstrip() or head != head.rstrip()
    below = int(below_text)
    whole_text = head[: len(head) - len(head.lstrip("0123456789"))]
    above_text = head.rstrip()[len(head.rstrip().rstrip("0123456789")) :]
    between = head.rstrip()[len(whole_text) : -len(above_text)]
    whole, above = int(whole_text), int(above_text)
    plain = f"{whole} {above}/{below}"
    if below == 0:
        return Amount(Fraction(0), Fraction(1), text, vulgar=True, fault="a fraction over zero")
    value = whole + Fraction(above, below)
    if above >= below:
        sum_ = f"{value.numerator // value.denominator}"
        rest = value - int(value)
        return Amount(
            value,
            Fraction(1, below),
            text,
            vulgar=True,
            fault="the fraction behind a whole number is not below one",
            offer=f"{sum_} {rest}" if rest else sum_,
        )
    if between == "." and below not in FRACTION_DENOMINATORS:
        return Amount(value, Fraction(1, below), text, vulgar=True, fault="a point in a fraction")
    help_needed = () if (between.isspace() or between == "-") and not torn else (f"read as {plain}",)
    return Amount(
        value,
        Fraction(1, below),
        text,
        vulgar=True,
        flags=help_needed + _odd_denominator(above, below),
    )


def _odd_denominator(above: int, below: int) -> tuple[str, ...]:
    if below in FRACTION_DENOMINATORS or below in (1, 10, 100, 1000):
        return ()
    return (f"unusual fraction {above}/{below}",)
