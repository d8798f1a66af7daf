"""Moments of a recording in the ways that people and programs read them."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import UTC, datetime, timedelta

from thawline.recording.dated import has_date
from thawline.recording.recording import Recording
from thawline.story.story import Story

EPOCH = datetime(1970, 1, 1, tzinfo=UTC)


@dataclass(frozen=True, slots=True)
class Moments:
    """The clock of one recording.

    Parameters
    ----------
    starts_at : float
        First sample, since 1970-01-01 UTC [s].
    zero_s : float
        The moment from which minutes are counted, since the first sample [s].
    is_from_plug_in : bool
        Whether that moment is the plugging in; else it is the first sample.
    """

    starts_at: float
    zero_s: float
    is_from_plug_in: bool

    @property
    def is_dated(self) -> bool:
        """Whether the log tells the date."""
        return has_date(self.starts_at)

    @property
    def origin(self) -> str:
        """What minutes are counted from, in words."""
        return "plugging in" if self.is_from_plug_in else "the first sample"

    def when(self, t_s: float) -> datetime:
        """Give the date and time of a moment.

        Parameters
        ----------
        t_s : float
            Since the first sample [s].

        Returns
        -------
        datetime
            In UTC; meaningless unless ``is_dated``.
        """
        return EPOCH + timedelta(seconds=self.starts_at + t_s)

    def iso(self, t_s: float | None) -> str | None:
        """Give a moment as RFC 3339 has it.

        Parameters
        ----------
        t_s : float or None
            Since the first sample [s].

        Returns
        -------
        str or None
            For instance ``2031-01-14T06:41:17.250Z``; None where there is no date.
        """
        if t_s is None or not self.is_dated:
            return None
        whole = self.when(round(t_s, 3))
        return whole.isoformat(timespec="milliseconds").replace("+00:00", "Z")

    def clock(self, t_s: float) -> str:
        """Give a moment as a clock shows it.

        Parameters
        ----------
        t_s : float
            Since the first sample [s].

        Returns
        -------
        str
            ``06:41:17`` in UTC, with the day where it is not the day of the first sample;
            the time elapsed since the first sample, ``0:16:40``, where there is no date.
        """
        if not self.is_dated:
            seconds = round(max(t_s, 0.0))
            return f"{seconds // 3600}:{seconds // 60 % 60:02d}:{seconds % 60:02d}"
        moment, first = self.when(round(t_s)), self.when(0.0)
        text = f"{moment:%H:%M:%S}"
        return text if moment.date() == first.date() else f"{text} ({moment.day} {moment:%b})"

    def minutes(self, t_s: float) -> float:
        """Count the minutes since the plugging in (or the first sample).

        Parameters
        ----------
        t_s : float
            Since the first sample [s].

        Returns
        -------
        float
            Negative before it [min].
        """
        return (t_s - self.zero_s) / 60.0

    @property
    def date(self) -> str:
        """The day of the first sample, ``14 January 2031``."""
        if not self.is_dated:
            return "date unknown"
        first = self.when(0.0)
        return f"{first.day} {first:%B %Y}"


def moments_of(recording: Recording, story: Story) -> Moments:
    """Lay the clock of a recording.

    Parameters
    ----------
    recording : Recording
        The recording.
    story : Story
        Its story, which knows when the car was plugged in.

    Returns
    -------
    Moments
        The clock, whose minutes count from the first plugging in.
    """
    plugged = [point.t_s for point in story.turning_points if point.kind == "plugged-in"]
    return Moments(recording.starts_at, min(plugged, default=0.0), bool(plugged))


def duration_text(seconds: float) -> str:
    """Say how long something took.

    Parameters
    ----------
    seconds : float
        The time [s].

    Returns
    -------
    str
        ``48 s``, ``12 min 30 s`` or ``1 h 05 min``.
    """
    whole = round(seconds)
    if whole < 60:
        return f"{whole} s"
    if whole < 3600:
        minutes, rest = divmod(whole, 60)
        return f"{minutes} min {rest:02d} s" if rest else f"{minutes} min"
    minutes = round(whole / 60)
    return f"{minutes // 60} h {minutes % 60:02d} min"
