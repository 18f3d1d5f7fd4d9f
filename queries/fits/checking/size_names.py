"""Sizes by name, as answers tell them: texts that still know thing, feature and dimension, so that none is taken apart
again."""

from __future__ import annotations

from typing import Self

from knockon.graph.model.schema import column_of


class FeatureSize(str):
    """A size of a feature: ``nut: thread.major``. Without a dimension it is the feature itself, without a feature the
    dimension alone."""

    __slots__ = ("dimension", "feature")
    feature: str
    dimension: str

    def __new__(cls, feature: str, dimension: str) -> Self:
        """Of a feature's dimension; one of the two may be blank."""
        text = super().__new__(cls, ": ".join(x for x in (feature, dimension) if x))
        text.feature, text.dimension = feature, dimension
        return text

    def __reduce__(self) -> tuple[type[Self], tuple[str, str]]:  # to be copied
        return type(self), (self.feature, self.dimension)

    @property
    def column(self) -> str:
        """The dimension as a whole: ``thread`` of ``thread.major``."""
        return column_of(self.dimension)


class WrittenSize(str):
    """A size as it is written; of a length it knows its ends in mm."""

    __slots__ = ("high", "low")
    low: float | None
    high: float | None

    def __new__(cls, written: str, low: float | None = None, high: float | None = None) -> Self:
        """Of a cell, and the ends of the length that it says."""
        text = super().__new__(cls, written)
        text.low, text.high = low, high
        return text

    def __reduce__(self) -> tuple[type[Self], tuple[str, float | None, float | None]]:  # to be copied
        return type(self), (str(self), self.low, self.high)


class SizeOf(str):
    """A size of a thing: ``ROWAN-902, stub end: length``; ``remark`` stands behind it, as in ``..., as made``."""

    __slots__ = ("dimension", "feature", "remark", "thing")
    thing: str
    feature: str
    dimension: str
    remark: str

    def __new__(cls, thing: str, feature: str, dimension: str, remark: str = "") -> Self:
        """Of a dimension of a thing's feature."""
        text = super().__new__(cls, f"{thing}, {feature}: {dimension}{remark}")
        text.thing, text.feature, text.dimension, text.remark = thing, feature, dimension, remark
        return text

    def __reduce__(self) -> tuple[type[Self], tuple[str, str, str, str]]:  # to be copied
        return type(self), (self.thing, self.feature, self.dimension, self.remark)

    def with_remark(self, remark: str) -> Self:
        """The same size with another remark."""
        return type(self)(self.thing, self.feature, self.dimension, remark)
