"""Write a bus's layout as a DBC database."""

from __future__ import annotations

from pathlib import Path

from thawline.simulator.encode import EXTENDED
from thawline.simulator.layout import BusLayout, BusMessage, BusSignal

#: How a DBC marks floats of single precision [1].
FLOAT = 1


def _number(message: BusMessage) -> int:
    return message.identifier | (EXTENDED if message.is_extended else 0)


def _signal(signal: BusSignal, message: BusMessage) -> str:
    mark = "" if signal.page is None else f" m{signal.page}"
    if signal.path == "page":
        mark = " M"
    order = 0 if message.is_big_endian else 1
    sign = "-" if signal.is_signed or signal.is_float else "+"
    unit = signal.unit.replace('"', "")
    return (
        f" SG_ {signal.name}{mark} : {signal.start}|{signal.length}@{order}{sign} "
        f'({signal.scale:.12g},{signal.offset:.12g}) [0|0] "{unit}" Logger'
    )


def write_dbc(layout: BusLayout, path: Path) -> None:
    """Write a database.

    Parameters
    ----------
    layout : BusLayout
        The bus, its start bits given.
    path : Path
        The file.
    """
    lines = ['VERSION ""', "", "NS_ :", "", "BS_:", "", "BU_: Car Logger", ""]
    labels, floats = [], []
    for message in layout.messages:
        lines.append(f"BO_ {_number(message)} {message.name}: {message.size} Car")
        lines += [_signal(signal, message) for signal in message.signals]
        lines.append("")
        for signal in message.signals:
            where = f"{_number(message)} {signal.name}"
            if signal.labels:
                named = " ".join(f'{code} "{name}"' for code, name in signal.labels.items())
                labels.append(f"VAL_ {where} {named} ;")
            if signal.is_float:
                floats.append(f"SIG_VALTYPE_ {where} : {FLOAT};")
    path.write_text("\n".join([*lines, *labels, *floats]) + "\n", encoding="cp1252")
