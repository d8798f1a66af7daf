"""Choose the instants at which the question why-not tells most, and ask it."""

from __future__ import annotations

from dataclasses import dataclass

from thawline.report.explained import Explained
from thawline.story.story import WhyNot
from thawline.story.why_not import acts_of, why_not_from

#: How long after plugging in, or after losing the supply, the car has settled [s].
SETTLED_S = 120.0
#: How long before a turning point the limit that it lifts still held [s].
BEFORE_S = 10.0
#: How long before the last sample all channels still speak [s].
END_S = 5.0


@dataclass(frozen=True, slots=True)
class Instant:
    """An instant and the answer there.

    Parameters
    ----------
    when : str
        Which instant, in words.
    answer : WhyNot
        What keeps it from being more.
    """

    when: str
    answer: WhyNot

    @property
    def subject(self) -> str:
        """What the answer is about, with a colon; empty where the answer says so itself."""
        subject = self.answer.what.replace("-", " ").capitalize()
        return "" if self.answer.because.startswith(subject) else f"{subject}: "


def _questions(explained: Explained) -> list[tuple[str, float, str]]:
    first: dict[str, float] = {}
    for point in explained.story.turning_points:
        first.setdefault(point.kind, point.t_s)
    end = max(explained.recording.duration_s - END_S, 0.0)
    questions: list[tuple[str, float, str]] = []

    def ask(when: str, t_s: float, *whats: str) -> None:
        if 0.0 <= t_s <= explained.recording.duration_s:
            questions.extend((when, t_s, what) for what in whats)

    if "plugged-in" in first:
        settled = first["plugged-in"] + SETTLED_S
        ask("Two minutes after plugging in", settled, "charging", "regeneration", "pack-heating")
    else:
        settled = min(SETTLED_S, explained.recording.duration_s / 2.0)
        when = "Two minutes into the recording" if settled == SETTLED_S else "Half way through"
        ask(when, settled, "charging", "regeneration", "pack-heating")
    if "regeneration-returns" in first:
        ask("Just before regeneration returns", first["regeneration-returns"] - BEFORE_S,
            "regeneration")  # fmt: skip
    if "charging-begins" in first:
        ask("Just before charging begins", first["charging-begins"] - BEFORE_S, "charging")
        ask("Two minutes after charging begins", first["charging-begins"] + SETTLED_S, "charging")
    if "pack-heating-ends" in first:
        ask("Just before pack heating ends", first["pack-heating-ends"] - BEFORE_S, "pack-heating")
    if "supply-lost" in first:
        ask("Just after the supply is lost", first["supply-lost"] + BEFORE_S, "charging")
    ask("At the end of the recording", end, "charging", "regeneration", "pack-heating")
    return sorted(questions, key=lambda question: question[1])


def why_nots(explained: Explained) -> list[Instant]:
    """Ask what kept charging, regeneration and heating from being more.

    Parameters
    ----------
    explained : Explained
        The explained recording.

    Returns
    -------
    list of Instant
        A handful of answers in the order of time. An answer that has not changed since the
        instant before is not repeated, and that nothing is known is said once.
    """
    story, known = explained.story, explained.known
    acts = acts_of(explained.recording, explained.flows, known)
    found: list[Instant] = []
    nothing: dict[str, Instant] = {}
    last: dict[str, str] = {}
    for when, t_s, what in _questions(explained):
        instant = Instant(when, why_not_from(acts, story, what, t_s, known))
        if instant.answer.limit == "nothing-known":
            nothing.setdefault(what, instant)
        elif last.get(what) != instant.answer.because:
            found.append(instant)
            last[what] = instant.answer.because
    found.extend(instant for what, instant in nothing.items() if what not in last)
    return sorted(found, key=lambda instant: instant.answer.t_s)
