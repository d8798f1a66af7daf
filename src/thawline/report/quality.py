"""How good the log was, in sentences."""

from __future__ import annotations

from thawline.recording.recording import Recording
from thawline.report.moments import Moments, duration_text
from thawline.report.numbers import number

#: Gaps and clock steps told one by one; more are only counted [1].
TOLD = 5


def _many(count: int, one: str, several: str) -> str:
    return f"{count:,} {one if count == 1 else several}"


def quality_sentences(recording: Recording, moments: Moments) -> tuple[str, ...]:
    """Say how good the log was.

    Parameters
    ----------
    recording : Recording
        The recording.
    moments : Moments
        Its clock.

    Returns
    -------
    tuple of str
        Counts, gaps, clock steps and all warnings, a sentence each.
    """
    quality = recording.quality
    channels = _many(len(recording.channels), "channel", "channels")
    told = [f"{_many(quality.frames, 'frame or row', 'frames or rows')} read, {channels} used."]
    left_out = {reason: count for reason, count in quality.frames_left_out.items() if count}
    if left_out:
        parts = ", ".join(f"{reason} ({count:,})" for reason, count in sorted(left_out.items()))
        told.append(f"Left out: {parts}.")
    if quality.duplicates:
        told.append(f"{_many(quality.duplicates, 'duplicate', 'duplicates')} dropped.")
    for gap in recording.gaps[:TOLD]:
        length = duration_text(gap.to_s - gap.from_s)
        told.append(
            f"A gap of {length} from {moments.clock(gap.from_s)}: nothing was recorded, and "
            "nothing is drawn there."
        )
    if len(recording.gaps) > TOLD:
        told.append(f"{_many(len(recording.gaps) - TOLD, 'further gap', 'further gaps')}.")
    told.extend(
        f"The logger's clock jumped by {number(step.by_s, 1)} s at "
        f"{moments.clock(step.at_s)}; times after it were mended."
        for step in quality.clock_steps[:TOLD]
    )
    if len(quality.clock_steps) > TOLD:
        told.append(f"The clock jumped {len(quality.clock_steps) - TOLD} times more.")
    if not recording.gaps and not quality.clock_steps:
        told.append("No gap and no clock step was found.")
    told.extend(dict.fromkeys((*recording.vehicle.warnings, *quality.warnings)))
    return tuple(told)
