"""Templates of the pages beside the report's own, and what every page is set with."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache
from typing import TYPE_CHECKING, Any

from thawline import __version__
from thawline.report.choice import USUAL, Choice, said
from thawline.report.figure import LEFT, RIGHT
from thawline.report.numbers import tied
from thawline.report.palette import palette
from thawline.report.prose import cautions

if TYPE_CHECKING:  # jinja2 is needed for pages only
    from jinja2 import Environment


@cache
def environment(choice: Choice = USUAL, *rooms: str) -> Environment:
    """Make what turns templates into pages: everything in them is escaped.

    Parameters
    ----------
    choice : Choice
        Units in which sentences are set.
    *rooms : str
        Packages whose templates are sought before those of the reports.

    Returns
    -------
    Environment
        The same one for all pages in these units. Its filter ``as_written`` sets what a person
        wrote, a name or a note, word by word.
    """
    from jinja2 import (  # for pages only
        ChoiceLoader,
        Environment,
        PackageLoader,
        StrictUndefined,
    )
    from markupsafe import escape

    def final(value: object) -> object:
        return tied(said(value, choice)) if type(value) is str else value

    made = Environment(
        loader=ChoiceLoader([PackageLoader(room) for room in (*rooms, "thawline.report")]),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
        finalize=final,
    )
    made.filters["as_written"] = escape
    return made


def set_template(name: str, figures: Mapping[str, Any], **words: object) -> str:
    """Set a page.

    Parameters
    ----------
    name : str
        File of the template.
    figures : mapping of str to figure
        Charts by name; the template places them by ``roots``.
    **words : object
        What the template says.

    Returns
    -------
    str
        One HTML document with its styles, scripts and data in it.
    """
    from markupsafe import Markup  # comes with jinja2

    roots, script, library = embedded(figures)
    return (
        environment()
        .get_template(name)
        .render(
            version=__version__,
            palette=palette().values(),
            left=LEFT,
            right=RIGHT,
            cautions=cautions(),
            roots=roots,
            # bokeh escapes what it embeds; both are scripts of its own making
            library=Markup(library),
            script=Markup(script),
            **words,
        )
    )


def embedded(figures: Mapping[str, Any]) -> tuple[dict[str, tuple[str, str]], str, str]:
    """Turn charts into element names, one script with all data, and the library that it needs.

    Parameters
    ----------
    figures : mapping of str to figure
        Charts by name.

    Returns
    -------
    roots : dict of str to tuple of str
        Name of the element that the script fills, and of the chart in the script.
    script, library : str
        The script that draws them, and its library.
    """
    if not figures:
        return {}, "", ""
    from bokeh.document import Document  # lazily: half a second of import
    from bokeh.embed import components
    from bokeh.resources import Resources

    whole = Document()
    with whole.models.freeze():  # else every chart added walks through all of them again
        for figure in figures.values():
            whole.add_root(figure)
    script, roots = components(dict(figures), wrap_script=False, wrap_plot_info=False)
    library = "\n".join(Resources(mode="inline", components=["bokeh"]).js_raw)
    return {key: (root.elementid, root.id) for key, root in roots.items()}, script, library


def embedded_data(figures: Mapping[str, Any]) -> tuple[dict[str, tuple[str, str]], dict[str, Any]]:
    """Turn charts into element names and one document for a script that asks for it.

    Parameters
    ----------
    figures : mapping of str to figure
        Charts by name.

    Returns
    -------
    roots : dict of str to tuple of str
        Name of the element that the script fills, and of the chart in the document.
    document : dict
        ``docs`` and ``items`` as the charting library's ``embed_items`` takes them.
    """
    from bokeh.document import Document  # lazily: half a second of import

    roots = {key: (f"plot-{key}", str(figure.id)) for key, figure in figures.items()}
    if not figures:
        return roots, {"docs": {}, "items": []}
    whole = Document()
    with whole.models.freeze():  # else every chart added walks through all of them again
        for figure in figures.values():
            whole.add_root(figure)
    item = {
        "docid": "charts",
        "roots": {name: element for element, name in roots.values()},
        "root_ids": [name for _, name in roots.values()],
    }
    return roots, {"docs": {"charts": whole.to_json(deferred=False)}, "items": [item]}
