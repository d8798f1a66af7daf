"""An explained morning in a notebook: its views, and what can be asked of it alone.

Explained -> RecordingView, StoryView, LedgerView, ForecastView, ComparisonView
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from thawline.compare.compare import compare as compared
from thawline.errors import RequestError
from thawline.looking import Earlier, forecast_from
from thawline.report.explained import Explained
from thawline.report.recorded import RecordingView
from thawline.report.views import ComparisonView, ForecastView, LedgerView, StoryView
from thawline.story.story import WhyNot
from thawline.story.why_not import why_not

if TYPE_CHECKING:  # frames are made when they are asked for
    import polars as pl


@dataclass(frozen=True, slots=True, repr=False)
class Morning:
    """An explained recording.

    Parameters
    ----------
    explained : Explained
        What every report is made of: recording, flows, story, ledger, charge, findings.
    """

    explained: Explained

    def __repr__(self) -> str:
        return f"<morning {self.id}: {self.story!r}>"

    def _repr_html_(self) -> str:
        return self.story._repr_html_() + self.ledger._repr_html_()

    @property
    def id(self) -> str:
        """The recording's name."""
        return self.explained.recording.id

    @property
    def recording(self) -> RecordingView:
        """What was recorded, channel by channel."""
        return RecordingView(self.explained.recording)

    @property
    def story(self) -> StoryView:
        """What the car did and why."""
        return StoryView(self.explained)

    @property
    def ledger(self) -> LedgerView:
        """Where the energy went."""
        return LedgerView(self.explained.ledger)

    @property
    def flows(self) -> pl.DataFrame:
        """Powers on one clock: ``t_s`` [s], and a column for each [kW]; NaN where unknown."""
        import polars as pl

        flows = self.explained.flows
        return pl.DataFrame({"t_s": flows.t, **{name: one.kW for name, one in flows.flows.items()}})

    def why_not(self, what: str, at_s: float) -> WhyNot:
        """Say what keeps something from being more at an instant.

        Parameters
        ----------
        what : str
            ``charging``, ``regeneration`` or ``pack-heating``.
        at_s : float
            The instant, since the recording's start [s].

        Returns
        -------
        WhyNot
            The answer in ``because``, with its evidence.

        Raises
        ------
        RequestError
            If there is no such thing to ask for, or the instant lies outside the recording.
        """
        one = self.explained
        return why_not(one.recording, one.flows, one.story, what, at_s, one.known)

    def forecast(self, at_s: float | None = None, levels_kW: Sequence[float] = ()) -> ForecastView:
        """Forecast from this recording alone, without what other mornings teach.

        Parameters
        ----------
        at_s : float, optional
            The instant, since the recording's start; by default its end [s].
        levels_kW : sequence of float
            Regenerative powers to wait for [kW].

        Returns
        -------
        ForecastView
            When each turning point comes, from no sample after the instant.

        Raises
        ------
        RequestError
            If the instant lies outside the recording.
        """
        alone = Earlier((), None, None)
        return ForecastView(forecast_from(self.explained.recording, alone, at_s, levels_kW))

    def compare(self, other: Morning, per_kWh: float | None = None) -> ComparisonView:
        """Hold another morning against this one.

        Parameters
        ----------
        other : Morning
            The other one; it is told against this one.
        per_kWh : float, optional
            Price of a kilowatt-hour from the supply, in any currency [1/kWh].

        Returns
        -------
        ComparisonView
            What differs, and the likely reason.

        Raises
        ------
        RequestError
            If both are the same, or the price is none.
        """
        if self.id == other.id:
            raise RequestError(f"both are {self.id!r}", cure="name two different recordings")
        if per_kWh is not None and not 0.0 <= per_kWh < float("inf"):
            raise RequestError(
                f"per_kWh (={per_kWh:g}) must be a price of 0 or more per kilowatt-hour",
                cure="for instance per_kWh=0.30",
            )
        return ComparisonView(compared(self.explained, other.explained, per_kWh))
