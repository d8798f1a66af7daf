"""Views of answers for a notebook: a plain line, a fragment of a page, frames of the data."""

from __future__ import annotations

from dataclasses import asdict, dataclass
from typing import TYPE_CHECKING, Any

from thawline.compare.comparison import Comparison
from thawline.forecast.forecast import Forecast
from thawline.ledger.ledger import Ledger, Line
from thawline.report.chronicle import title_of
from thawline.report.compare_page import title_of_comparison
from thawline.report.explained import Explained
from thawline.report.forecast_page import name_of
from thawline.report.fragments import (
    comparison_fragment,
    forecast_fragment,
    ledger_fragment,
    set_fragment,
    story_fragment,
)
from thawline.report.one_line import one_line
from thawline.report.prose import prose_of

if TYPE_CHECKING:  # frames are made when they are asked for
    import polars as pl


@dataclass(frozen=True, slots=True, repr=False)
class StoryView:
    """What the car did and why.

    Parameters
    ----------
    explained : Explained
        The explained recording whose story it is.
    """

    explained: Explained

    def __repr__(self) -> str:
        return one_line(" ".join(self.sentences))

    def _repr_html_(self) -> str:
        return set_fragment(story_fragment(self.explained))

    @property
    def sentences(self) -> tuple[str, ...]:
        """What happened, in a few sentences."""
        return prose_of(self.explained).headline

    @property
    def turning_points(self) -> pl.DataFrame:
        """One row per turning point: kind, title, when and give or take [s], because."""
        import polars as pl

        schema = {"kind": pl.String, "title": pl.String, "t_s": pl.Float64,
                  "plus_minus_s": pl.Float64, "because": pl.String}  # fmt: skip
        rows = [
            (one.kind, title_of(one.kind), one.t_s, one.plus_minus_s, one.because)
            for one in self.explained.story.turning_points
        ]
        return pl.DataFrame(rows, schema=schema, orient="row")

    @property
    def spans(self) -> pl.DataFrame:
        """One row per span: lane, from and to [s], level [kW or l/min], because."""
        import polars as pl

        schema = {"lane": pl.String, "from_s": pl.Float64, "to_s": pl.Float64,
                  "level": pl.Float64, "because": pl.String}  # fmt: skip
        spans = [asdict(one) for one in self.explained.story.spans]
        return pl.DataFrame(spans, schema=schema)


@dataclass(frozen=True, slots=True, repr=False)
class LedgerView:
    """Where the energy went.

    Parameters
    ----------
    ledger : Ledger
        The product.
    """

    ledger: Ledger

    def __repr__(self) -> str:
        known = sum(line.kWh is not None for line in self.ledger.electrical + self.ledger.heat)
        of = len(self.ledger.electrical) + len(self.ledger.heat)
        return f"<ledger: {known} of {of} lines known, {self.ledger.covered_s:.0f} s with data>"

    def _repr_html_(self) -> str:
        return set_fragment(ledger_fragment(self.ledger))

    @property
    def electrical(self) -> pl.DataFrame:
        """The electrical account: line, energy and standard uncertainty [kWh], origin, note."""
        return _account(self.ledger.electrical)

    @property
    def heat(self) -> pl.DataFrame:
        """The heat account, with the same columns."""
        return _account(self.ledger.heat)


def _account(lines: tuple[Line, ...]) -> pl.DataFrame:
    import polars as pl

    schema = {"line": pl.String, "kWh": pl.Float64, "plus_minus_kWh": pl.Float64,
              "origin": pl.String, "note": pl.String, "bridged_kWh": pl.Float64}  # fmt: skip
    return pl.DataFrame([asdict(line) for line in lines], schema=schema)


@dataclass(frozen=True, slots=True, repr=False)
class ForecastView:
    """When each turning point will come.

    Parameters
    ----------
    forecast : Forecast
        The product.
    """

    forecast: Forecast

    def __repr__(self) -> str:
        seen = f"seen from {self.forecast.made_at_s:.0f} s"
        return f"<forecast for {self.forecast.recording_id}, {seen}: {self.forecast.verdict}>"

    def _repr_html_(self) -> str:
        return set_fragment(forecast_fragment(self.forecast))

    @property
    def turning_points(self) -> pl.DataFrame:
        """One row per turning point: kind, name, p10, p50, p90 [s], never [1], is_past."""
        import polars as pl

        schema: dict[str, Any] = {
            "kind": pl.String, "name": pl.String, "p10_s": pl.Float64, "p50_s": pl.Float64,
            "p90_s": pl.Float64, "never": pl.Float64, "is_past": pl.Boolean, "because": pl.String,
        }  # fmt: skip
        rows = [
            (one.kind, name_of(one.kind, one.level_kW), one.p10_s, one.p50_s, one.p90_s,
             one.never, one.is_past, one.because)
            for one in self.forecast.turning_points
        ]  # fmt: skip
        return pl.DataFrame(rows, schema=schema, orient="row")


@dataclass(frozen=True, slots=True, repr=False)
class ComparisonView:
    """What differs between two mornings.

    Parameters
    ----------
    comparison : Comparison
        The product.
    """

    comparison: Comparison

    def __repr__(self) -> str:
        found = self.comparison
        return one_line(f"{title_of_comparison(found)}. {' '.join(found.sentences)}")

    def _repr_html_(self) -> str:
        return set_fragment(comparison_fragment(self.comparison))

    @property
    def figures(self) -> pl.DataFrame:
        """One row per figure: key, group, title, unit, A and B with their uncertainties."""
        import polars as pl

        text = dict.fromkeys(("key", "group", "title", "unit"), pl.String)
        number = dict.fromkeys(("a", "b", "a_sigma", "b_sigma"), pl.Float64)
        rows = [
            {**asdict(row), "differs": row.differs}
            for row in self.comparison.rows
        ]  # fmt: skip
        return pl.DataFrame(rows, schema={**text, **number, "differs": pl.Boolean})
